"""Papers one would sign: pages without large gaps, and no signature on a page of its own."""

from dataclasses import replace
from datetime import date

import pytest

from lifecycle.papers.ink.draw import (
    LARGE_GAP,
    LEAST_PICTURE,
    PAIR_SCALES,
    _fullest,
    fitted,
    with_pairs,
)
from lifecycle.papers.ink.frame import SIZES, Frame
from lifecycle.papers.ink.pen import BODY
from lifecycle.papers.ink.pieces import pieces_of
from lifecycle.papers.ink.pieces.texts import facts
from lifecycle.papers.sheets import sheet_of
from lifecycle.papers.sheets.treatment_report import LEAST_PAIR_MM, PAIR_MM
from lifecycle.papers.words.blocks import (
    Block,
    Column,
    FacePair,
    FacePicture,
    Facts,
    LetteredPlan,
    Lines,
    Plot,
    PlotPoint,
    Table,
    Together,
)
from lifecycle.papers.words.parts import PlanWords
from tests.builders.papers_out import (
    DIARY,
    FACE,
    PICTURE,
    movement_slip_words,
    stamp,
    treatment_report_words,
)
from tests.builders.tickets import imaging_ticket_words, mount_ticket_words
from tests.papers.reading import ink, page_texts, word_boxes

FOOT_MM, BODY_MM = 21, 205  # of A4; the foot and margin below, what the head leaves


def pairs_of(blocks: tuple[Block, ...]) -> list[FacePair]:
    inner = [one for block in blocks for one in getattr(block, "blocks", (block,))]
    return [one for one in inner if isinstance(one, FacePair)]


@pytest.mark.parametrize("steps", [1, 3, 6, 12])
def test_who_signs_a_treatment_report_reads_advice_on_the_same_page(steps: int) -> None:
    texts = page_texts(ink(treatment_report_words(steps=steps)).pdf)
    assert "Signatures" in texts[-1]
    assert "Handling and display" in texts[-1]
    assert "Look again on" in texts[-1]


@pytest.mark.parametrize("faces", [1, 2, 4])
def test_pictures_before_and_after_leave_no_large_gap(faces: int) -> None:
    words = treatment_report_words()
    drawn = ink(replace(words, pairs=words.pairs * faces))
    lowest: dict[int, float] = {}
    for box in word_boxes(drawn.pdf):
        if box.bottom < 842 - FOOT_MM * 72 / 25.4:
            lowest[box.page] = max(lowest.get(box.page, 0), box.bottom)
    ends = [lowest[page] for page in sorted(lowest)][:-1]
    assert all(842 - FOOT_MM * 72 / 25.4 - end < LARGE_GAP * 842 for end in ends), ends


def test_a_pair_is_as_tall_as_its_picture_and_shrinks_no_further_than_can_be_judged() -> None:
    sheet = sheet_of(treatment_report_words())
    (pair,) = pairs_of(sheet.blocks)
    assert pair.height_mm == pytest.approx(82 * 640 / 900)
    assert pair.height_mm < PAIR_MM
    smallest = with_pairs(Together((pair,)), min(PAIR_SCALES))
    assert isinstance(smallest, Together)
    (small,) = pairs_of((smallest,))
    assert small.height_mm == LEAST_PAIR_MM
    assert with_pairs(replace(pair, least_mm=0), 0.5) == replace(pair, least_mm=0)


def test_empty_rows_give_way_before_a_page_holds_nothing_but_them() -> None:
    """A face with so many features that six empty rows would run over keeps at least three."""
    rows = Table("Features", (Column("No.", 1),), (), tuple(f"F{at}" for at in range(6)))
    picture, width = FacePicture(FACE, ()), 480.0
    whole = sum(
        one.height + one.gap for block in (picture, rows) for one in pieces_of(block, width)
    )
    smallest = whole - (picture.height_mm - LEAST_PICTURE) * 72 / 25.4
    kept = [
        next(
            len(one.blank_rows)
            for one in fitted((picture, rows), width, body)
            if isinstance(one, Table)
        )
        for body in (smallest, smallest - 30, smallest - 400)
    ]
    assert kept == [6, 4, 6]


def test_a_plot_is_drawn_lower_where_that_saves_a_page() -> None:
    tall = Plot("Dose", "", (PlotPoint(date(2026, 1, 1), 0, promised=False),), 1, date(2026, 1, 2))
    low = with_pairs(tall, 0.6)
    assert isinstance(low, Plot)
    assert low.height_mm == tall.least_mm == 30


def test_tickets_are_one_side_of_half_a_sheet_with_room_for_flashes() -> None:
    mount, job = ink(mount_ticket_words(DIARY)), ink(imaging_ticket_words(DIARY))
    assert (mount.pages, job.pages) == (1, 1)
    (text,) = page_texts(job.pdf)
    assert "flashes" in text
    assert "lx·s each" in text


def test_a_movement_slip_of_one_object_is_one_side_from_which_its_parts_are_cut_off() -> None:
    (text,) = page_texts(ink(movement_slip_words(DIARY)).pdf)
    said = " ".join(text.split())
    assert DIARY.object_type in said
    assert "Part 2: stays with who releases" in said
    assert "removal card RC-0001" in said


def test_a_plan_is_drawn_smaller_where_its_one_point_then_stands_on_the_same_page() -> None:
    plan = LetteredPlan(PlanWords(name="N", picture=PICTURE, spots=(), caption="North Gallery"))
    below = Lines("Points", 14)
    frame = Frame(sheet_of(movement_slip_words(DIARY)).head, stamp(), SIZES["a4"])
    assert len(_fullest((plan, below), frame)) == 1
    assert len(_fullest((replace(plan, least_mm=0), below), frame)) == 2
    small = with_pairs(plan, min(PAIR_SCALES))
    assert isinstance(small, LetteredPlan)
    assert small.height_mm == plan.least_mm


def test_labels_of_one_column_take_no_room_from_the_other() -> None:
    """The long label stands in the right column: what stands in the left keeps its one line."""
    rows = (("To", "Main House, North Gallery, N2, N2a"), ("Expected back", "–"))
    (row,) = facts(Facts(rows), 480.0)
    assert row.height == BODY.line


def test_a_long_list_of_steps_breaks_between_two_and_a_short_one_not_at_all() -> None:
    def pieces(steps: int) -> list[bool]:
        row = ("Fixing", "\n".join(f"{at}. Lay it down." for at in range(1, steps + 1)))
        return [piece.stays for piece in facts(Facts((row,), columns=1), 300)]

    assert pieces(3) == [False]
    assert pieces(6) == [True, False, False, False, True, False]


def test_what_nobody_measured_takes_no_line_of_a_ticket() -> None:
    words = replace(mount_ticket_words(DIARY), openings="", gutter="")
    (text,) = page_texts(ink(words).pdf)
    assert "Gutter" not in text
    assert "–\n" not in text
