"""Treatment proposal and consent, as it is drawn.

Outside checks: what it carries and in which order is common practice: 'do nothing' first,
the version on every page, a place to decide and to sign for each who is asked.
"""

from dataclasses import replace

import pytest

from lifecycle.papers.words.parts import BlockO, DatedLine
from lifecycle.papers.words.treatment_proposal import (
    OptionWords,
    ShownPicture,
    TreatmentProposalWords,
    WeighedCaution,
)
from tests.builders.papers_out import DIARY, INSTITUTION, PICTURE
from tests.papers.reading import SIZES, ink, page_texts, word_boxes

MM = 72 / 25.4
LONG = "Leaves open at the fold and catch when they are turned; paste and tissue hold them. " * 6


def option(what: str, *, chosen: bool = False) -> OptionWords:
    return OptionWords(
        what=what,
        gain="The leaves can be opened." if chosen else "",
        risk="A faint edge of tissue in raking light.",
        undo="can be undone" if chosen else "nothing is done",
        hours="6" if chosen else "",
        cost="",
        chosen=chosen,
    )


def proposal_words(about: BlockO = DIARY, text: str = "") -> TreatmentProposalWords:
    return TreatmentProposalWords(
        institution=INSTITUTION,
        about=about,
        proposal_no="TP-0031",
        version=2,
        sent="sent 2 June 2026 10:00",
        aim=f"stabilise: make the leaves safe to open. {text}",
        state=f"Two tears at the fold of ff. 88v-89r. {text}",
        based_on="CR-0012 version 1 (baseline), 4 May 2026 11:00",
        pictures=(
            ShownPicture(picture=PICTURE, caption="ff. 88v-89r\nrecord before\ndiffuse light"),
            ShownPicture(picture=PICTURE, caption="ff. 88v-89r\ndamage detail"),
        ),
        options=(option("Do nothing."), option("Mend locally.", chosen=True)),
        why=f"It holds the tears and can be taken off again. {text}",
        steps=(("mend", "ff. 88v-89r, C2", "off the writing"), ("humidify", "every face", "")),
        materials=(("wheat starch paste, cooked here, batch 4", "10 %", "water"),),
        cautions=(
            WeighedCaution(warning=f"Inked areas can crack. {text}", why="Local, blotted at once."),
        ),
        tests_first="Water drop at the margin.",
        removed="kept with the object file: old tape, envelope 3",
        effect_on_display="Opens to 100 degrees.",
        stop_rules="Any movement of ink.",
        work="6 h, to be finished by Wed 1 July 2026",
        undo="no",
        no_answer="by Tue 16 June 2026: nothing is done, and the conservator asks again",
        needed=("Curator", "Lender, in writing", "Head of collections"),
        proposer="Marit Oldacre",
        decided=(
            DatedLine(
                when="3 June 2026 09:00",
                what="agree within limits; no humidification of ff. 88v-89r",
                who="Ines Rook, curator, as deputy for Wen Castellane",
            ),
        ),
    )


def flat(words: TreatmentProposalWords, size: str = "a4") -> str:
    return " ".join(" ".join(page_texts(ink(words, page_size=size).pdf)).split())


@pytest.mark.parametrize("size", ["a4", "letter"])
def test_it_is_short_and_every_page_names_object_version_and_print(size: str) -> None:
    drawn = ink(proposal_words(), page_size=size)
    assert drawn.pages <= 4
    for number, text in enumerate(page_texts(drawn.pdf), start=1):
        assert DIARY.object_number in text
        assert f"Page {number} of {drawn.pages}" in text
        assert "version 4" in text
        assert "print PR-00412" in text


def test_it_says_everything_in_the_order_of_the_trade() -> None:
    text = flat(proposal_words())
    order = [
        "Consent counts for this version only",
        "Why now: the aim",
        "Rests on report",
        "Do nothing.",
        "Mend locally.",
        "Why the recommended one",
        "wheat starch paste, cooked here, batch 4",
        "Proposed all the same",
        "Tests first",
        "Taken off, and where it is kept",
        "What would make me stop",
        "If no answer comes",
        "as deputy for Wen Castellane",
    ]
    places = [text.find(words) for words in order]
    assert -1 not in places
    assert places == sorted(places)


def test_each_who_is_asked_has_four_answers_lines_and_a_signature() -> None:
    text = flat(proposal_words())
    assert text.count("agree within these limits") == 3
    assert text.count("change asked") == 3
    assert text.count("I have seen version 2") == 3
    assert flat(replace(proposal_words(), needed=("Curator",))).count("change asked") == 1


@pytest.mark.parametrize("size", ["a4", "letter"])
def test_long_texts_stay_on_the_page_and_out_of_the_margin_for_the_holes(size: str) -> None:
    drawn = ink(proposal_words(text=LONG), page_size=size)
    width, height = SIZES[size]
    for box in word_boxes(drawn.pdf):
        assert box.left >= 24.9 * MM, box
        assert box.right <= width, box
        assert 0 <= box.top < box.bottom <= height, box
