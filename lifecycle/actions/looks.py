"""Dated looks at objects on display, and the answers that flags must get."""

from datetime import datetime

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.actions.work.alarms import hazard_words, tell_conservators
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.process.words import LookVerdict
from lifecycle.queries.rights import about_place
from lifecycle.records.models import (
    Face,
    Look,
    LookAnswer,
    MuseumObject,
    Person,
    Picture,
    Place,
    Showing,
)
from lifecycle.records.models.light import NotReached


@transaction.atomic
def record_look(
    *,
    by: Person,
    role: Role,
    at: datetime,
    museum_object: MuseumObject,
    place: Place,
    looked_at: datetime,
    verdict: LookVerdict | None = None,
    showing: Showing | None = None,
    face: Face | None = None,
    through_glass: bool = True,
    note: str = "",
    not_looked: NotReached | None = None,
    not_reached_because: str = "",
    looked_by: Person | None = None,
    picture: Picture | None = None,
) -> Look:
    """Keep one dated look, or why the object was not reached. Walkers flag, they do not grade.

    'act now' is told to the conservators at once; 'look again' stands on their list, answered
    within two working days.

    :raises Refused: without a verdict and without a reason, for another object's face or showing,
        or for a moment in the future
    """
    allow(by=by, role=role, deed=Deed.WALK, at=at, about=about_place(place))
    because = not_reached_because.strip()
    reasons = []
    if verdict is None and not because:
        text = f"Say what was seen of {museum_object.object_number}, or why it was not reached."
        reasons.append(Reason(text, "verdict"))
    if verdict is not None and because:
        text = "An object that was looked at was reached: leave the reason out."
        reasons.append(Reason(text, "not_reached_because"))
    if len(note.strip()) > 120 or len(because) > 120:
        reasons.append(Reason("Keep the note to 120 letters; the rest is a report.", "note"))
    if looked_at > at:
        reasons.append(Reason("The look lies in the future: enter when it was.", "looked_at"))
    if face is not None and face.museum_object_id != museum_object.pk:
        reasons.append(Reason("That face is another object's.", "face"))
    if showing is not None and showing.museum_object_id != museum_object.pk:
        reasons.append(Reason("That showing is another object's.", "showing"))
    if reasons:
        raise Refused(reasons)
    missed = (not_looked or NotReached.NOT_REACHED) if verdict is None else None
    look = Look(
        museum_object=museum_object,
        showing=showing,
        face=face,
        place=place,
        through_glass=through_glass,
        verdict="" if verdict is None else verdict.value,
        not_looked="" if missed is None else missed.value,
        not_reached_because=because,
        picture=picture,
        note=note.strip(),
        looked_at=looked_at,
        looked_by=looked_by or by,
        entered_at=at,
        entered_by=by,
    ).append()
    if verdict is LookVerdict.ACT_NOW:
        number = museum_object.object_number
        tell_conservators(
            key=f"look/{look.uid}/act-now",
            subject=f"Act now: {number} in {place.name}",
            body=(
                f"{look.looked_by.full_name} asks somebody to come to {number}, "
                f"{museum_object.title}, in {place.name} now. {look.note}"
            ).strip()
            + hazard_words([museum_object.pk]),
            why="somebody asks for a conservator at once",
            page="look-answer",
            uid=look.uid,
            at=at,
        )
    return look


@transaction.atomic
def answer_look(*, by: Person, role: Role, at: datetime, look: Look, text: str) -> LookAnswer:
    """Say what came of a flag; the walker finds it beside the look.

    :raises Refused: without words, or when the look flagged nothing
    """
    held = Look.objects.select_for_update().get(pk=look.pk)
    allow(by=by, role=role, deed=Deed.EXAMINE, at=at)
    reasons = []
    if not text.strip():
        reasons.append(Reason("Say what was seen and done: 'dust on glass, cleaned'.", "text"))
    if len(text.strip()) > 240:
        reasons.append(Reason("Keep the answer to 240 letters; the rest is a report.", "text"))
    if held.verdict not in (LookVerdict.LOOK_AGAIN, LookVerdict.ACT_NOW):
        reasons.append(Reason("This look flagged nothing that needs an answer."))
    if reasons:
        raise Refused(reasons)
    return LookAnswer(look=held, text=text.strip(), answered_at=at, answered_by=by).append()
