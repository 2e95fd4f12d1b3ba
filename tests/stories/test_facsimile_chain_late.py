"""Facsimile chain late, in the demo museum's names and numbers (invented setting).

The facsimile of opening B is needed in the case from Saturday 14 March 2026; it is printed in 15
working days and proven in 10, so its master is due 25 working days before, counted by hand: five
weeks of five days, from Friday 13 March back to Monday 9 February.
"""

from datetime import UTC, date, datetime

import pytest

from lifecycle.actions.preparation.imaging import ImagingAsked, ask_for_pictures
from lifecycle.letters.morning import morning_letter
from lifecycle.process.readiness import readiness_of
from lifecycle.process.stages import Role, Stage
from lifecycle.process.words import FaceKind
from lifecycle.queries.facts import facts_of
from lifecycle.queries.morning import morning_of
from lifecycle.records.models import FaceWanted, Person, Showing
from lifecycle.records.models.preparation import ImagingJob, ImagingPurpose
from tests.builders.core import (
    kept_by,
    make_exhibition,
    make_face,
    make_museum,
    make_object,
    make_person,
    make_showing,
)
from tests.builders.display import put_at

pytestmark = pytest.mark.django_db
ASKED = datetime(2026, 1, 12, 9, 0, tzinfo=UTC)
MASTER_DUE = date(2026, 2, 9)
MORNING = datetime(2026, 2, 12, 7, 0, tzinfo=UTC)
DAYS_LATE = 3
SHOWN = (
    (date(2026, 3, 14), date(2026, 6, 7)),
    (date(2026, 6, 8), date(2026, 9, 6)),
)


class Chain:
    """The diary at mounting, with the master of opening B asked of Ada for Wen."""

    def __init__(self) -> None:
        make_museum()
        self.marit: Person = make_person(Role.CONSERVATOR, name="Marit Oldacre")
        self.wen: Person = make_person(Role.CURATOR, name="Wen Castellane")
        self.ada: Person = make_person(Role.PHOTOGRAPHER, name="Ada Kestrel")
        self.others = [self.marit, make_person(Role.PHOTOGRAPHER), make_person(Role.REGISTRAR)]
        exhibition = make_exhibition(short="RBN", install_from=date(2026, 3, 14))
        exhibition.curators.add(self.wen)
        diary = make_object(object_number="HCM.1908.12", title="Weather diary of Hester Plym")
        faces = [
            make_face(diary, kind=FaceKind.OPENING, label=label, order=order)
            for order, label in enumerate(("ff. 31v-32r", "ff. 88v-89r"), start=1)
        ]
        self.showing: Showing = make_showing(exhibition=exhibition, museum_object=diary)
        for order, (face, (begins, ends)) in enumerate(zip(faces, SHOWN, strict=True), start=1):
            FaceWanted(
                showing=self.showing, face=face, order=order, from_on=begins, until_on=ends
            ).keep(**kept_by())
        put_at(self.showing, Stage.MOUNTING, ASKED)
        self.job: ImagingJob = ask_for_pictures(
            by=self.marit,
            role=Role.CONSERVATOR,
            at=ASKED,
            showing=self.showing,
            asked=ImagingAsked(
                face=faces[1],
                purpose=ImagingPurpose.FACSIMILE_MASTER,
                due_on=None,
                needed_because="The facsimile of opening B lies beside opening A.",
                with_whom=self.ada,
                for_whom=self.wen,
            ),
        )

    def letter(self, person: Person) -> str:
        morning = morning_of(person=person, day=MORNING.date(), at=MORNING)
        written = morning_letter(morning, site="https://showrest.example")
        return "" if written is None else written.body


@pytest.fixture
def chain() -> Chain:
    return Chain()


def test_the_master_is_due_25_working_days_before_its_facsimile_is_in_the_case(
    chain: Chain,
) -> None:
    assert chain.job.due_on == MASTER_DUE


def test_the_row_of_the_diary_says_imaging_late_with_the_photographers_name_and_days(
    chain: Chain,
) -> None:
    facts = facts_of([chain.showing.pk], MORNING)[chain.showing.pk]
    (cell,) = [cell for cell in readiness_of(facts) if cell.label == "imaging"]
    (link,) = cell.links
    assert (link.owner, link.late_by) == ("Ada Kestrel", DAYS_LATE)


def test_the_morning_letter_tells_ada_and_wen_once_and_nobody_else(chain: Chain) -> None:
    for person in (chain.ada, chain.wen):
        letter = chain.letter(person)
        assert letter.count(f"({chain.job.job_no})") == 1, person
        assert "was due on Monday 9 February 2026, 3 days ago" in letter
    for person in chain.others:
        assert chain.job.job_no not in chain.letter(person), person
