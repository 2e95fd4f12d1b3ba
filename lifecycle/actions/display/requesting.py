"""Ask for an object: which faces in which order, when, why, and what could be shown instead."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.moves import make_move
from lifecycle.actions.numbering import next_number
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.planning.counting import counted
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.process.words import Priority
from lifecycle.queries.display.requests import late_by, other_bookings
from lifecycle.queries.rights import about_exhibition, museum_day
from lifecycle.records.models import (
    Alternative,
    Exhibition,
    Face,
    FaceWanted,
    Loan,
    MuseumObject,
    Person,
    Place,
    Showing,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class FaceAsked:
    """One face of the plan and the days it is wanted, first and last included."""

    face: Face
    from_on: date
    until_on: date
    must: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class AlternativeAsked:
    """What could be shown instead: an object, another face of this one, or words."""

    museum_object: MuseumObject | None = None
    face: Face | None = None
    text: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """Everything the curator says about the wish besides object and exhibition."""

    faces: Sequence[FaceAsked]
    reason: str
    show_from: date
    show_to: date
    priority: Priority = Priority.IMPORTANT
    alternatives: Sequence[AlternativeAsked] = ()
    no_alternative_because: str = ""
    place: Place | None = None
    support_idea: str = ""
    angle_idea: int | None = None
    public_handling: str = ""
    events_and_filming: str = ""
    loan: Loan | None = None
    late_note: str = ""
    duplicates_seen: bool = False


def faults_of_faces(museum_object: MuseumObject, wish: Wish) -> Iterator[Reason]:
    """Yield what is wrong with the faces: whose they are, their days, their order."""
    if wish.show_to < wish.show_from:
        text = "The last day lies before the first; change one of them."
        yield Reason(text, "show_to", "request.dates")
        return
    if not wish.faces:
        yield Reason("Name at least one face to be shown.", "faces", "request.faces")
    before: FaceAsked | None = None
    for asked in wish.faces:
        label = asked.face.label
        if asked.face.museum_object_id != museum_object.pk:
            text = f"{label} is no face of {museum_object.object_number}."
            yield Reason(text, "faces", "request.face")
        if asked.until_on < asked.from_on:
            text = f"{label}: the last day lies before the first."
            yield Reason(text, "faces", "request.face_dates")
        if asked.from_on < wish.show_from or asked.until_on > wish.show_to:
            text = f"{label} is asked for outside the days of the showing; change its days."
            yield Reason(text, "faces", "request.face_dates")
        if before is not None and asked.from_on <= before.until_on:
            text = (
                f"{label} begins before {before.face.label} ends: an object shows one face at a "
                "time, so put them one after the other."
            )
            yield Reason(text, "faces", "request.face_order")
        before = asked


def _faults(
    museum_object: MuseumObject, exhibition: Exhibition, wish: Wish, today: date
) -> Iterator[Reason]:
    yield from faults_of_faces(museum_object, wish)
    for booking in other_bookings(museum_object, None):
        if booking.exhibition_id == exhibition.pk:
            text = (
                f"{museum_object.object_number} is asked for in this exhibition already "
                f"({booking.request_no}): add the face there."
            )
            yield Reason(text, "museum_object", "request.same_exhibition")
    late = late_by(exhibition, today)
    if late > 0 and not wish.late_note.strip():
        text = (
            f"This request comes {counted(late, 'day')} later than the rule asks; "
            "say why, so that everybody knows."
        )
        yield Reason(text, "late_note", "request.late")
    if wish.loan is not None and not wish.loan.lines.filter(museum_object=museum_object).exists():
        text = f"{wish.loan.agreement_no} does not name {museum_object.object_number}."
        yield Reason(text, "loan", "request.loan")


@transaction.atomic
def ask_for(
    *,
    by: Person,
    role: Role,
    at: datetime,
    exhibition: Exhibition,
    museum_object: MuseumObject,
    wish: Wish,
) -> Showing:
    """Ask for one object in one exhibition; the showing begins at the stage selection.

    :raises Refused: faces of another object or overlapping, days outside the run, no reason, no
        alternatives, a late request without a note, other bookings not yet seen
    """
    allow(by=by, role=role, deed=Deed.CHOOSE, at=at, about=about_exhibition(exhibition))
    MuseumObject.objects.select_for_update().get(pk=museum_object.pk)
    today = museum_day(at)
    if reasons := list(_faults(museum_object, exhibition, wish, today)):
        raise Refused(reasons)
    showing = Showing(
        request_no=next_number("RQ"),
        exhibition=exhibition,
        museum_object=museum_object,
        asked_by=by,
        asked_at=at,
        reason=wish.reason.strip(),
        priority=wish.priority.value,
        show_from=wish.show_from,
        show_to=wish.show_to,
        place=wish.place,
        support_idea=wish.support_idea,
        angle_idea=wish.angle_idea,
        public_handling=wish.public_handling,
        events_and_filming=wish.events_and_filming,
        loan=wish.loan,
        late_note=wish.late_note.strip(),
        no_alternative_because=wish.no_alternative_because.strip(),
        duplicates_seen=wish.duplicates_seen,
    ).keep(by=by, role=role, why="asked for", at=at)
    for order, asked in enumerate(wish.faces, start=1):
        FaceWanted(
            showing=showing,
            face=asked.face,
            order=order,
            from_on=asked.from_on,
            until_on=asked.until_on,
            must=asked.must,
        ).keep(by=by, role=role, why="asked for", at=at)
    for order, other in enumerate(wish.alternatives, start=1):
        Alternative(
            showing=showing,
            order=order,
            museum_object=other.museum_object,
            face=other.face,
            text=other.text.strip(),
        ).keep(by=by, role=role, why="asked for", at=at)
    make_move(showing_id=showing.pk, move="request", by=by, role=role, at=at)
    showing.refresh_from_db()
    return showing
