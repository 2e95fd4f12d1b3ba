"""Every heading, question and column of every paper is in the list of labels with its origin."""

from collections.abc import Iterable, Iterator
from dataclasses import replace

from lifecycle.papers.labels import PAPER_LABELS
from lifecycle.papers.sheets import sheet_of
from lifecycle.papers.words.blocks import Block, Card, Facts, Heading, Table, Ticks, Together
from tests.builders.papers_out import (
    BAROMETER,
    DIARY,
    condition_report_words,
    deinstall_form_words,
    incident_report_words,
    movement_slip_words,
    treatment_report_words,
    turn_instruction_words,
)
from tests.builders.tickets import imaging_ticket_words, mount_ticket_words
from tests.papers.test_cards import FACSIMILE, HOUSING, MOUNT, TAG

KNOWN = {label.text for label in PAPER_LABELS}


def printed_labels(blocks: Iterable[Block]) -> Iterator[str]:
    for block in blocks:
        match block:
            case Together():
                yield from printed_labels(block.blocks)
            case Card():
                yield block.name
                yield from (label for label, _ in block.rows)
            case Heading():
                yield block.text
            case Ticks():
                yield block.label
            case Facts():
                yield from (label for label, _ in block.rows)
            case Table():
                yield block.title
                yield from (column.head for column in block.columns)


def test_every_label_of_every_paper_is_listed_with_its_origin() -> None:
    six = [replace(DIARY, object_number=f"HCM.{number}") for number in range(6)]
    swap = replace(turn_instruction_words(), goes_on_object=BAROMETER)
    bare = replace(deinstall_form_words(findings=0), events=(), due=())
    for words in (
        condition_report_words(),
        replace(condition_report_words(), signed=True, written_so_far=()),
        deinstall_form_words(),
        bare,
        movement_slip_words(),
        movement_slip_words(*six),
        swap,
        TAG,
        replace(HOUSING, about=BAROMETER),
        MOUNT,
        FACSIMILE,
        mount_ticket_words(),
        imaging_ticket_words(),
        incident_report_words(),
        treatment_report_words(),
        replace(treatment_report_words(), signed=True, corrects="v1", pairs=()),
    ):
        plan = sheet_of(words)
        assert plan.head.paper_name in KNOWN
        for label in printed_labels(plan.blocks):
            # A label that names a face or an object carries the name after a colon or comma.
            assert not label or label in KNOWN or is_named(label), label


def is_named(label: str) -> bool:
    starts = ("Face: ", "Part B, face: ", "Known features at a glance, face ", "Comes off: ")
    return label.startswith((*starts, "Goes on: "))


def test_no_label_is_listed_twice() -> None:
    assert len(KNOWN) == len(PAPER_LABELS)
