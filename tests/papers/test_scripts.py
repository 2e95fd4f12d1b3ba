"""Names and titles in any script: the right letters, joined where they join, never left empty.

Outside checks: joined Arabic letters have forms of their own (Unicode Standard, chapter 9.2), and
direction follows UAX #9; both are done by libraries here, so the tests look at the page itself.
"""

import os
from dataclasses import replace
from pathlib import Path

import pytest

from lifecycle.papers.fonts.catalogue import CJK_PACKAGE, CJK_SETTING, FontFault, Style, font_files
from lifecycle.papers.fonts.lines import UncoveredText, cut_to, fit, set_line, set_lines
from lifecycle.papers.printed import unprintable
from tests.builders.papers_out import BAROMETER, DIARY, movement_slip_words, stamp
from tests.papers.reading import WordBox, fonts, ink_anew, ink_inside, page_texts, word_boxes

NAMES = {
    "Greek": "Καλλιόπη Παπαδοπούλου",
    "Polish": "Wawrzyniec Żółćkowski",
    "Vietnamese": "Đặng Thị Ánh Nguyệt",
    "Hebrew": "אביגיל כהן",
    "Thai": "สมหญิง ใจดี",
    "Arabic": "ليلى المنصوري",
}
JAPANESE = "山田 花子"


def needs_japanese() -> None:
    """Skip by name, with the package; REQUIRE_ALL turns it into a failure (conftest)."""
    try:
        set_line(JAPANESE, Style())
    except UncoveredText:
        pytest.skip(f"no font for Japanese: apt-get install {CJK_PACKAGE}, or set {CJK_SETTING}")


def slip_by(maker: str) -> bytes:
    return ink_anew(movement_slip_words(replace(BAROMETER, maker=maker, title=maker))).pdf


@pytest.mark.poppler
@pytest.mark.parametrize("script", NAMES)
def test_a_name_leaves_ink_where_it_stands_and_its_font_is_inside(
    script: str, tmp_path: Path
) -> None:
    plain = slip_by("")
    pdf = slip_by(NAMES[script])
    assert all(fonts(pdf).values())

    new = [box for box in word_boxes(pdf) if is_part_of(box, NAMES[script])]

    assert new, f"no word of {NAMES[script]} is on the paper"
    assert len(word_boxes(pdf)) > len(word_boxes(plain))
    for box in new[:2]:
        assert ink_inside(pdf, box, tmp_path) > 20


@pytest.mark.poppler
def test_a_japanese_name_leaves_ink_where_it_stands(tmp_path: Path) -> None:
    needs_japanese()
    pdf = slip_by(JAPANESE)

    assert all(fonts(pdf).values())
    box = next(box for box in word_boxes(pdf) if "花" in box.text)
    assert ink_inside(pdf, box, tmp_path) > 20
    assert JAPANESE in page_texts(pdf)[0]


def is_part_of(box: WordBox, name: str) -> bool:
    """A word box that shares its letters with the name, in whichever order they are extracted."""
    letters = {letter for letter in name if letter.isalpha()}
    return len(box.text) > 1 and sum(letter in letters for letter in box.text) >= len(box.text) / 2


@pytest.mark.parametrize("script", ["Greek", "Polish", "Vietnamese"])
def test_a_name_can_be_read_back_from_the_file_letter_by_letter(script: str) -> None:
    assert NAMES[script] in page_texts(slip_by(NAMES[script]))[0]


def test_arabic_letters_are_joined_and_run_from_the_right() -> None:
    style = Style()

    alone = sum(set_line(letter, style).width for letter in "ليلى")
    joined = set_line("ليلى", style)

    assert joined.leftwards
    assert joined.width < alone * 0.9


def test_every_shaped_glyph_says_which_letters_it_stands_for() -> None:
    line = set_line("ليلى", Style())

    said = "".join(text for run in line.runs for _, text in run.said)

    assert sorted(said) == sorted("ليلى")


def test_a_number_inside_arabic_reads_from_the_left() -> None:
    line = set_line("رقم 1908 هنا", Style())

    digits = [run for run in line.runs if str(run.glyphs).strip() == "1908"]
    assert len(digits) == 1


def test_brackets_in_mixed_text_stay_a_pair() -> None:
    line = set_line("Diary ليلى (3) x", Style())

    text = "".join(text for run in line.runs for _, text in run.said)
    assert text.index("(") < text.index("3") < text.index(")") or (
        text.index(")") < text.index("3") < text.index("(")
    )


def test_a_mark_stands_on_its_letter_in_one_font() -> None:
    decomposed = set_line("Z\u0307o\u0301\u0142\u0107", Style())
    composed = set_line("Żółć", Style())

    assert decomposed.width == pytest.approx(composed.width)


def test_long_words_and_scripts_without_spaces_break_inside_the_width() -> None:
    for text in ("x" * 400, "สมหญิงใจดี" * 30, "HCM." * 90):
        lines = set_lines(text, Style(), 120)
        assert len(lines) > 1
        assert all(line.width <= 120.01 for line in lines)


def test_a_line_that_must_fit_is_cut_with_an_ellipsis() -> None:
    line = fit("Weather diary of Hester Plym, kept daily", Style(), 80)

    assert line.width <= 80
    assert "…" in "".join(text for run in line.runs for _, text in run.said)
    assert cut_to("a" * 61, 60) == "a" * 59 + "…"
    assert cut_to("a" * 60, 60) == "a" * 60


def test_a_character_without_a_font_is_named_with_its_field_and_the_remedy() -> None:
    words = movement_slip_words(replace(DIARY, maker="𓀀 of Hollin"))

    (fault,) = unprintable(words, stamp())

    assert fault.field == "maker"
    assert "U+13000" in fault.text
    assert CJK_SETTING in fault.text
    assert CJK_PACKAGE in fault.text


def test_a_character_without_a_font_is_never_drawn_empty() -> None:
    with pytest.raises(UncoveredText):
        ink_anew(movement_slip_words(replace(DIARY, maker="𓀀")))


def test_a_setting_that_names_no_usable_font_says_so(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    broken = tmp_path / "broken.ttf"
    broken.write_bytes(b"no font")
    monkeypatch.setenv(CJK_SETTING, str(broken))

    with pytest.raises(FontFault, match=CJK_SETTING):
        set_line("𓀁", Style(size=11))


def test_the_museums_own_font_comes_before_those_of_the_system(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv(CJK_SETTING, os.devnull)

    assert next(font_files())[1] == os.devnull


def test_a_glyph_means_in_this_paper_what_it_means_here_and_not_in_the_last_one() -> None:
    """Arabic and Farsi yeh share their joined forms; each paper says which one it holds."""
    farsi = ink_anew(movement_slip_words(replace(BAROMETER, maker="\u0628\u06cc\u0628"))).pdf
    ink_anew(movement_slip_words(replace(BAROMETER, maker="\u0628\u064a\u0628")))

    again = ink_anew(movement_slip_words(replace(BAROMETER, maker="\u0628\u06cc\u0628"))).pdf

    assert again == farsi
    assert "\u06cc" in page_texts(farsi)[0]
