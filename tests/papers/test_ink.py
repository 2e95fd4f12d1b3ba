"""The frame of every paper, its type sizes and margins, and that drawing again gives the same.

Outside checks: margins, type sizes and what head and foot carry are common practice, typed here by
hand; the pages' sizes after ISO 216 (A4 210 × 297 mm) and ANSI/ASME Y14.1 (Letter 8.5 × 11 in).
"""

import io
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from pypdf import PdfReader

from lifecycle.papers.sheets import PaperWords, sheet_of
from lifecycle.papers.words.blocks import Signatures
from tests.builders.papers_out import (
    BAROMETER,
    DIARY,
    condition_report_words,
    deinstall_form_words,
    incident_report_words,
    movement_slip_words,
    stamp,
    treatment_report_words,
    turn_instruction_words,
)
from tests.builders.tickets import imaging_ticket_words, mount_ticket_words
from tests.papers.reading import (
    HALF_SIZES,
    SIZES,
    fonts,
    ink,
    ink_anew,
    letter_sizes,
    page_texts,
    word_boxes,
)

LONG_TITLE = ("Three centuries of watching the weather in the county of Hollinshire " * 5)[:300]
LONG = replace(DIARY, title=LONG_TITLE, maker="M" * 200)
MM = 72 / 25.4

Maker = Callable[[], PaperWords]
PAPERS: dict[str, Maker] = {
    "condition report": condition_report_words,
    "turn instruction": turn_instruction_words,
    "de-install form": deinstall_form_words,
    "movement slip": movement_slip_words,
    "movement slip, six objects": lambda: movement_slip_words(
        *(replace(DIARY, object_number=f"HCM.1922.7.{one}") for one in range(1, 7))
    ),
    "condition report, 60 findings": lambda: condition_report_words(LONG, 60),
    "turn instruction, 60 findings": lambda: turn_instruction_words(LONG, 60),
    "de-install form, 60 findings": lambda: deinstall_form_words(LONG, 60),
    "incident report": incident_report_words,
    "mount ticket": mount_ticket_words,
    "imaging ticket": imaging_ticket_words,
    "mount ticket, long titles": lambda: mount_ticket_words(
        replace(LONG, hazard_line=BAROMETER.hazard_line)
    ),
    "treatment report, 60 steps": lambda: treatment_report_words(LONG, 60),
    "movement slip, long titles": lambda: movement_slip_words(LONG, BAROMETER),
}


@pytest.mark.parametrize("size", ["a4", "letter"])
@pytest.mark.parametrize("name", PAPERS)
def test_every_page_has_object_number_page_count_version_digest_and_print(
    name: str, size: str
) -> None:
    words = PAPERS[name]()
    drawn = ink(words, page_size=size)

    texts = page_texts(drawn.pdf)

    assert len(texts) == drawn.pages
    for number, text in enumerate(texts, start=1):
        first: Any = getattr(words, "about", None) or words.objects[0]  # type: ignore[union-attr]
        about = getattr(first, "about", first)
        assert about.object_number in text
        assert f"Page {number} of {drawn.pages}" in text
        assert "version 4" in text
        assert "digest 3f9c2 1be07" in text
        assert "print PR-00412" in text
        assert "copy: to sign" in text
        assert "K7Q2MXD" in text
        assert "Pencil only near the object" in text
        assert "Hollinshire County Museum" in text


@pytest.mark.parametrize("size", ["a4", "letter"])
@pytest.mark.parametrize("name", PAPERS)
def test_no_word_leaves_the_page_or_stands_in_the_margin_for_the_holes(
    name: str, size: str
) -> None:
    half = sheet_of(PAPERS[name]()).half
    width, height = (HALF_SIZES if half else SIZES)[size]

    for word in word_boxes(ink(PAPERS[name](), page_size=size).pdf):
        assert word.left >= 25 * MM - 0.5, word
        assert word.right <= width - 12 * MM + 1, word
        assert word.top >= 8 * MM, word
        assert word.bottom <= height - 8 * MM, word


@pytest.mark.parametrize("name", PAPERS)
def test_the_body_of_a_page_never_runs_into_its_foot(name: str) -> None:
    height = (HALF_SIZES if sheet_of(PAPERS[name]()).half else SIZES)["a4"][1]
    boxes = word_boxes(ink(PAPERS[name]()).pdf)

    for page in {word.page for word in boxes}:
        words = [word for word in boxes if word.page == page]
        foot = min(word.top for word in words if word.text == "Page" and word.top > height / 2)
        body = [word for word in words if word.top < foot - 1]
        assert max(word.bottom for word in body) <= foot + 0.5


@pytest.mark.parametrize("name", PAPERS)
def test_no_two_words_of_a_page_cover_each_other(name: str) -> None:
    boxes = word_boxes(ink(PAPERS[name]()).pdf)

    for page in {word.page for word in boxes}:
        words = sorted((w for w in boxes if w.page == page), key=lambda w: w.top)
        for at, one in enumerate(words):
            for other in words[at + 1 :]:
                if other.top >= one.bottom - 3:
                    break
                across = min(one.right, other.right) - max(one.left, other.left)
                down = min(one.bottom, other.bottom) - max(one.top, other.top)
                assert across < 1 or down < 4, (one, other)


@pytest.mark.parametrize("name", PAPERS)
def test_no_type_is_smaller_than_nine_points(name: str) -> None:
    assert min(letter_sizes(ink(PAPERS[name]()).pdf)) >= 9


def page_size(words: PaperWords, size: str) -> tuple[float, float]:
    box = PdfReader(io.BytesIO(ink(words, page_size=size).pdf)).pages[0].mediabox
    return float(box.width), float(box.height)


def test_the_two_page_sizes_are_those_of_the_standards() -> None:
    for size, measure in SIZES.items():
        assert page_size(movement_slip_words(), size) == pytest.approx(measure, abs=0.1)


def test_a_ticket_is_half_the_sheet() -> None:
    """A5 is 148 × 210 mm (ISO 216); half a Letter sheet 5.5 × 8.5 in, by cutting it."""
    for words in (mount_ticket_words(), imaging_ticket_words()):
        for size, measure in HALF_SIZES.items():
            assert page_size(words, size) == pytest.approx(measure, abs=0.3)
    assert ink(imaging_ticket_words()).pages == 1


def test_a_long_object_number_is_whole_on_half_a_sheet() -> None:
    words = imaging_ticket_words(replace(DIARY, object_number="L2026.11.4-2018.a"))
    assert "L2026.11.4-2018.a" in page_texts(ink(words).pdf)[0]


@pytest.mark.parametrize("name", PAPERS)
def test_drawing_again_gives_the_same_bytes_whatever_was_drawn_between(name: str) -> None:
    first = ink_anew(PAPERS[name]()).pdf
    ink_anew(condition_report_words(replace(DIARY, title="ليلى Καλλιόπη Łódź")))

    assert ink_anew(PAPERS[name]()).pdf == first


@pytest.mark.parametrize("name", PAPERS)
def test_every_font_is_inside_the_file(name: str) -> None:
    found = fonts(ink(PAPERS[name]()).pdf)

    assert found
    assert all(found.values()), found


def test_the_head_cuts_a_title_at_sixty_characters_and_block_o_has_it_whole() -> None:
    first = " ".join(page_texts(ink(condition_report_words(LONG)).pdf)[0].split())

    assert f"{LONG_TITLE[:40]}" in first
    assert "…" in first
    assert LONG_TITLE[220:260].strip() in first


def test_a_caption_is_whole_on_the_turn_sheet_however_long_and_said_once_where_it_stays() -> None:
    lines = ["The first morning of the great storm, and the last."] * 6
    other = "The second opening has words of its own."
    words = replace(
        turn_instruction_words(), caption_out=" ".join(lines), caption_in=" ".join(lines)
    )
    same = " ".join(" ".join(page_texts(ink(words).pdf)).split())
    changed = " ".join(" ".join(page_texts(ink(replace(words, caption_in=other)).pdf)).split())
    assert same.count("great storm") == 6
    assert "…" not in same
    assert changed.count("great storm") == 6
    assert other in changed


def test_a_turn_with_four_features_a_face_keeps_front_and_back_of_one_sheet() -> None:
    assert ink(turn_instruction_words()).pages == 2


def test_the_qr_code_holds_the_address_alone() -> None:
    """The code is drawn from the address and from nothing else: two addresses, two drawings."""
    one = ink(movement_slip_words()).pdf
    other = ink(
        movement_slip_words(), stamped=stamp(address="http://127.0.0.1:8000/p/AAAAAAA/")
    ).pdf

    assert one != other
    assert b"127.0.0.1" not in one


def test_table_heads_come_again_on_each_page_of_a_long_table() -> None:
    texts = page_texts(ink(deinstall_form_words(DIARY, 60)).pdf)

    with_rows = [text for text in texts if "F20" in text or "F45" in text]
    assert len(with_rows) >= 2
    assert all("Zone" in text and "What, layer" in text for text in with_rows)


def test_an_unknown_page_size_is_an_error() -> None:
    with pytest.raises(KeyError):
        ink(movement_slip_words(), page_size="a5")


@pytest.mark.parametrize("name", PAPERS)
def test_the_lines_to_sign_are_held_together_with_their_heading(name: str) -> None:
    loose = [one for one in sheet_of(PAPERS[name]()).blocks if isinstance(one, Signatures)]
    assert loose == []


@pytest.mark.parametrize("paper", [condition_report_words, deinstall_form_words])
def test_the_note_of_a_feature_is_whole_however_long(paper: Callable[[], Any]) -> None:
    """300 words fill more than a page of a narrow column: the row goes on, nothing is cut."""
    words = paper()
    note = " ".join(f"w{number}" for number in range(300))
    (page, *others) = words.faces
    first = replace(page.features[0], note=note)
    long = replace(page, features=(first, *page.features[1:]))
    drawn = ink_anew(replace(words, faces=(long, *others)))

    said = " ".join(page_texts(drawn.pdf)).split()
    assert {one for one in said if one.startswith("w")} >= set(note.split())
    _, height = SIZES["a4"]
    assert max(box.bottom for box in word_boxes(drawn.pdf)) <= height - 8 * MM
