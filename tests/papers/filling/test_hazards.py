"""A hazard on the object is on its papers, in words and as a caution: none may be missing.

Outside check: the cautions are common practice for the most part, and so is it that a move cannot
be printed without them.
"""

import pytest

from lifecycle.papers.printed import draw_print
from lifecycle.process.cautions import CautionFor, cautions_for
from lifecycle.process.words import Hazard
from lifecycle.records.models import PaperKind, Print
from tests.builders.core import make_face, make_museum, make_object
from tests.builders.printing import (
    make_barometer,
    make_incident,
    make_movement,
    make_proposed,
    make_report,
    make_turn,
    note_hazard,
    on_display,
    printed,
)
from tests.builders.tickets import make_job, make_mount
from tests.builders.treatment import make_treatment_report
from tests.papers.reading import page_texts

pytestmark = pytest.mark.django_db
REAL = [hazard for hazard in Hazard if hazard is not Hazard.NONE_KNOWN]
ACTIVITY = {
    PaperKind.CONDITION_REPORT: CautionFor.CONDITION_PAPER,
    PaperKind.DEINSTALL_FORM: CautionFor.DEINSTALL_PAPER,
    PaperKind.MOVEMENT_SLIP: CautionFor.MOVEMENT_PAPER,
    PaperKind.INCIDENT_REPORT: CautionFor.CONDITION_PAPER,
    PaperKind.TURN_INSTRUCTION: CautionFor.INSTALL,
    PaperKind.TREATMENT_REPORT: CautionFor.CONDITION_PAPER,
    PaperKind.LIGHT_STATEMENT: CautionFor.READ_LIGHT,
    PaperKind.TREATMENT_PROPOSAL: CautionFor.TREAT,
    PaperKind.MOUNT_TICKET: CautionFor.INSTALL,
    PaperKind.IMAGING_TICKET: CautionFor.EXAMINE,
}
#: A list is read at a table; papers of a place name the hazards of what is there as cautions; a
#: facsimile has none of the object's hazards, and labels have tests of their own.
WITHOUT_HEAD = {PaperKind.OBJECT_LIST, PaperKind.READING_SHEET, PaperKind.CASE_CONDITIONS} | {
    kind for kind in PaperKind if kind.is_label
}


def pages(row: Print) -> list[str]:
    drawn = draw_print(row.paper, row.words, page_size=row.page_size, pictures=lambda _: None)
    return [" ".join(text.split()) for text in page_texts(drawn.pdf)]


def print_with(paper: PaperKind, *hazards: Hazard) -> Print:
    thing = make_object()
    note_hazard(thing, *hazards)
    match paper:
        case PaperKind.CONDITION_REPORT:
            return printed(make_report(thing))
        case PaperKind.DEINSTALL_FORM:
            return printed(on_display(thing))
        case PaperKind.MOVEMENT_SLIP:
            return printed(make_movement(thing))
        case PaperKind.TURN_INSTRUCTION:
            return printed(make_turn(on_display(thing, faces=2)))
        case PaperKind.INCIDENT_REPORT:
            return printed(make_incident(thing))
        case PaperKind.TREATMENT_PROPOSAL:
            return printed(make_proposed(thing))
        case PaperKind.TREATMENT_REPORT:
            make_museum()
            return printed(make_treatment_report(thing))
        case PaperKind.LIGHT_STATEMENT:
            make_face(thing)
            return printed(thing)
        case PaperKind.MOUNT_TICKET:
            return printed(make_mount(thing), paper=paper)
        case PaperKind.IMAGING_TICKET:
            return printed(make_job(thing), paper=paper)
        case _:
            raise AssertionError("Its head is about no single object.")


def test_only_papers_about_no_single_object_have_no_head_of_hazards() -> None:
    assert set(PaperKind) - set(ACTIVITY) == WITHOUT_HEAD


@pytest.mark.parametrize("paper", list(ACTIVITY))
def test_every_hazard_is_named_at_the_head_of_every_page(paper: PaperKind) -> None:
    row = print_with(paper, *REAL)

    for page in pages(row):
        for hazard in REAL:
            assert hazard.label in page, (paper, hazard)


@pytest.mark.parametrize("hazard", REAL)
@pytest.mark.parametrize("paper", list(ACTIVITY))
def test_the_caution_of_each_hazard_is_on_the_paper(paper: PaperKind, hazard: Hazard) -> None:
    text = " ".join(pages(print_with(paper, hazard)))

    (caution,) = [one for one in cautions_for([hazard], ACTIVITY[paper]) if one.hazard is hazard]
    # Half a sheet is narrow: a line may end after a hyphen.
    assert caution.text in text.replace("- ", "-")
    assert "does not replace local codes" in text


@pytest.mark.parametrize("paper", list(ACTIVITY))
def test_an_object_that_nobody_assessed_is_treated_as_hazardous(paper: PaperKind) -> None:
    for page in pages(print_with(paper)):
        assert "not assessed, treat as hazardous" in page


@pytest.mark.parametrize("paper", list(ACTIVITY))
def test_none_known_is_said_and_not_left_empty(paper: PaperKind) -> None:
    for page in pages(print_with(paper, Hazard.NONE_KNOWN)):
        assert "Hazards: none known" in page


def test_a_hazard_that_was_ended_is_no_longer_printed() -> None:
    thing = make_barometer()
    note_hazard(thing, Hazard.SHARP)
    sharp = thing.hazards.get(hazard=Hazard.SHARP)
    sharp.ended_on = sharp.history.get().history_date.date()
    sharp.keep(by=None, role="", why="Blunted.", at=sharp.history.get().history_date)

    text = " ".join(pages(printed(make_movement(thing))))

    assert "mercury (liquid)" in text
    assert "sharp" not in text.lower().replace("sharp parts", "sharp")


def test_a_slip_for_several_objects_names_whose_hazard_it_is() -> None:
    calm = make_object(object_number="HCM.1")
    note_hazard(calm, Hazard.NONE_KNOWN)

    (first, *_) = pages(printed(make_movement(calm, make_barometer())))

    assert "Hazards: HCM.1899.2: mercury (liquid)" in first
