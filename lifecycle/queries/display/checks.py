"""What is planned for a position, which check is open, what a loan asks of the install."""

from dataclasses import dataclass
from uuid import UUID

from lifecycle.process.rights import Deed, PersonFacts
from lifecycle.process.stages import Stage
from lifecycle.queries.calendar import within
from lifecycle.queries.rights import may_see_showings
from lifecycle.records.models import (
    Appointment,
    DisplayPeriod,
    Face,
    FaceWanted,
    InstallCheck,
    Loan,
    Person,
    Place,
    Showing,
    TurnRecord,
)
from lifecycle.records.models.display.rotation import STILL_TO_COME, AppointmentKind


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanHere:
    """What is planned for the object now: face, position, day and people."""

    face: Face | None
    place: Place | None
    appointment: Appointment | None

    def other_than(self, person: Person) -> UUID | None:
        """The second of the two people planned, seen from one of them."""
        if self.appointment is None:
            return None
        both = (self.appointment.person_1, self.appointment.person_2)
        return next((one.uid for one in both if one.pk != person.pk), None)


def planned_for(showing: Showing, kinds: tuple[AppointmentKind, ...]) -> Appointment | None:
    """Return the next planned day of these kinds."""
    return (
        Appointment.objects.filter(
            showing=showing, kind__in=[kind.value for kind in kinds], state__in=STILL_TO_COME
        )
        .select_related(
            "person_1", "person_2", "to_face__thumbnail", "place", "other_showing__museum_object"
        )
        .order_by("day", "pk")
        .first()
    )


def plan_of(showing: Showing) -> PlanHere:
    """Return what an install goes by: the first face of the plan and the planned position."""
    first = (
        FaceWanted.objects.filter(showing=showing, struck=False)
        .select_related("face__thumbnail")
        .order_by("order")
        .first()
    )
    return PlanHere(
        face=first.face if first else None,
        place=showing.place,
        appointment=planned_for(showing, (AppointmentKind.INSTALL,)),
    )


def shown_now(showing: Showing) -> DisplayPeriod | None:
    """Return the open display period of a showing, with its face and place."""
    return (
        DisplayPeriod.objects.filter(showing=showing, closed_at=None, struck_at=None)
        .select_related("face__thumbnail", "place")
        .first()
    )


def open_check_of(showing: Showing) -> InstallCheck | None:
    """Return the install check that was begun and not closed."""
    return (
        InstallCheck.objects.filter(showing=showing, closed_at=None)
        .select_related("picture", "face", "person_1", "person_2")
        .first()
    )


def open_turn(showing: Showing) -> TurnRecord | None:
    """Return the turn that has begun and is not finished."""
    return (
        TurnRecord.objects.filter(showing=showing, done_at=None, ended_at=None)
        .select_related(
            "from_face__thumbnail",
            "to_face__thumbnail",
            "place",
            "off_report",
            "appointment",
            "other_showing__museum_object",
        )
        .first()
    )


def courier_rule(showing: Showing, when: str) -> str:
    """Return what the loan asks about a courier at this moment, in words, or nothing.

    :param when: ``install``, ``turn`` or ``deinstall``
    """
    loan = Loan.objects.filter(pk=showing.loan_id).first() if showing.loan_id else None
    if loan is None or not getattr(loan, f"courier_at_{when}"):
        return ""
    words = {"install": "installed", "turn": "turned", "deinstall": "taken down"}
    return f"Loan {loan.agreement_no} asks for the courier when it is {words[when]}."


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseRow:
    """One object planned for the case, with what stands in the way of its install."""

    showing: Showing
    face: Face | None
    check: InstallCheck | None


def case_plan(place: Place, person: PersonFacts) -> list[CaseRow]:
    """Return the objects ready for the positions of this case that the person may handle.

    By position. Five queries and one per level of places inside the case, whatever the number
    of objects.
    """
    ready = Showing.objects.filter(place__in=within(place), stage=Stage.READY.value)
    showings = list(
        may_see_showings(person, ready, Deed.HANDLE)
        .select_related("museum_object", "exhibition", "place__parent")
        .order_by("place__name", "museum_object__object_number", "pk")
    )
    firsts: dict[int, Face] = {}
    wanted = FaceWanted.objects.filter(showing__in=showings, struck=False)
    for row in wanted.select_related("face__thumbnail").order_by("showing", "order"):
        firsts.setdefault(row.showing_id, row.face)
    checks = {
        row.showing_id: row
        for row in InstallCheck.objects.filter(showing__in=showings, closed_at=None)
    }
    return [
        CaseRow(showing=showing, face=firsts.get(showing.pk), check=checks.get(showing.pk))
        for showing in showings
    ]
