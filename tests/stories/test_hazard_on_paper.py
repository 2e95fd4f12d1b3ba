"""Hazard rides along: what the movement slip and its removal card say.

Common practice: nothing hazardous is carried without its hazard in words on the paper.
"""

import pytest

from lifecycle.actions.refusals import Refused
from lifecycle.papers.ink import frame
from lifecycle.papers.ink.pieces import texts
from lifecycle.papers.printed import draw_print, words_of
from lifecycle.process.words import Hazard, Orientation, PlaceKind
from lifecycle.records.models import Print, Vocabulary
from tests.builders.core import make_object, make_place, make_word
from tests.builders.printing import make_barometer, make_movement, note_hazard, printed
from tests.papers.reading import page_texts

pytestmark = pytest.mark.django_db


def pages(row: Print) -> list[str]:
    drawn = draw_print(row.paper, row.words, page_size=row.page_size, pictures=lambda _: None)
    return [" ".join(text.split()) for text in page_texts(drawn.pdf)]


def test_the_barometers_slip_says_mercury_upright_only_and_two_people() -> None:
    """Head line and removal card carry the hazard in words; two people are demanded."""
    bench, case = make_place("Bench 2", PlaceKind.BENCH), make_place("N7", PlaceKind.CASE)
    barometer = make_barometer(current_location=bench)

    row = printed(make_movement(barometer, to_place=case))

    first, *rest = pages(row)
    card = " ".join([first, *rest]).split("Part 3: removal card")[1]
    words = words_of(row.paper, row.words)

    head = first.split("Part 1")[0]
    assert "Hazard: mercury (liquid)" in head
    assert "Handling: upright only" in head
    assert "mercury (liquid)" in card
    assert "upright only" in card
    assert "Two people" in card
    assert words.people_needed == 2  # type: ignore[union-attr]
    assert words.objects[0].orientation == Orientation.UPRIGHT_ONLY  # type: ignore[union-attr]


def test_the_sign_of_how_it_is_held_stands_at_the_head_and_on_the_removal_card(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    drawn: list[str] = []
    for part in (frame, texts):
        monkeypatch.setattr(
            part,
            "orientation_sign",
            lambda _, orientation, *where, part=part: drawn.append(
                f"{part.__name__.rsplit('.', 1)[-1]}: {orientation}"
            ),
        )
    row = printed(make_movement(make_barometer(), to_place=make_place("N7", PlaceKind.CASE)))
    pages(row)
    assert "frame: upright_only" in drawn
    assert "texts: upright_only" in drawn, "the removal card"


def test_the_herbarium_sheets_slip_says_mercury_salts_gloves_and_washed_hands() -> None:
    """The other half of the story."""
    thing = make_object(object_number="HCM.H.2207")
    note_hazard(thing, Hazard.MERCURY_SALTS)

    text = " ".join(pages(printed(make_movement(thing))))

    assert "mercury salts" in text
    assert "nitrile gloves" in text
    assert "wash hands" in text


def test_a_trolley_without_an_upright_rack_gets_no_slip() -> None:
    trolley = make_word(Vocabulary.MOVE_METHOD, "trolley")

    with pytest.raises(Refused, match="travels upright only"):
        printed(make_movement(make_barometer(), method=trolley))
