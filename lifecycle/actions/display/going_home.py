"""Close the file of a showing: the object is home and rests, or goes on to its next showing."""

from datetime import datetime, timedelta
from typing import Final

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.display.rotating import latest_report
from lifecycle.actions.moves import lock_showing, make_move
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.process.words import ReportKind
from lifecycle.queries.light import rest_of_showing
from lifecycle.queries.rights import about_showing
from lifecycle.records.models import (
    JournalEntry,
    Movement,
    PassOn,
    Person,
    Showing,
)

BASELINE_DAYS: Final = 30
"""Part B serves as the next baseline when it is younger than this: our own rule."""


@transaction.atomic
def store_resting(*, by: Person, role: Role, at: datetime, showing: Showing) -> dict[str, object]:
    """Compute until when each face that was shown rests, and keep it with its inputs."""
    kept = lock_showing(showing.pk)
    allow(by=by, role=role, deed=Deed.REGISTER, at=at, about=about_showing(kept))
    kept.resting_until = {
        "computed_at": at.isoformat(),
        "faces": [{"face": one.face.label, **one.as_json()} for one in rest_of_showing(kept, at)],
    }
    kept.keep(by=by, role=role, why="resting day stored", at=at, fields=["resting_until"])
    return dict(kept.resting_until)


@transaction.atomic
def send_home(*, by: Person, role: Role, at: datetime, showing: Showing) -> JournalEntry:
    """Store until when it rests, and close the file.

    :raises Refused: with everything that is still missing
    """
    store_resting(by=by, role=role, at=at, showing=showing)
    return make_move(showing_id=showing.pk, move="send_home", by=by, role=role, at=at)


@transaction.atomic
def pass_on(
    *,
    by: Person,
    role: Role,
    at: datetime,
    showing: Showing,
    coming: Showing,
    movement: Movement | None,
    travel_housing: str,
    conservator: Person,
) -> PassOn:
    """End this showing and begin the examination of the next, with one movement between them.

    Part B serves as the next baseline if it is younger than 30 days.

    :raises Refused: another object's showing, no movement, no travel housing, or a gate
    """
    first, second = sorted((showing.pk, coming.pk))
    lock_showing(first)
    lock_showing(second)
    kept, following = lock_showing(showing.pk), lock_showing(coming.pk)
    allow(by=by, role=role, deed=Deed.REGISTER, at=at, about=about_showing(kept))
    reasons = []
    if following.museum_object_id != kept.museum_object_id or following.pk == kept.pk:
        text = f"{following.request_no} is no other showing of {kept.museum_object.object_number}."
        reasons.append(Reason(text, "coming", "next.other"))
    if not travel_housing.strip():
        text = "Name the housing it travels in."
        reasons.append(Reason(text, "travel_housing", "housing.travel"))
    if movement is None or not movement.lines.filter(showing=kept).exists():
        text = "Choose the movement that carries it on to its next showing."
        reasons.append(Reason(text, "movement", "movement.next"))
    if reasons or movement is None:
        raise Refused(reasons)
    kept.passed_on_to = following
    kept.keep(by=by, role=role, why="passed on", at=at, fields=["passed_on_to"])
    part_b = latest_report(kept, ReportKind.DEINSTALL_AT_BENCH)
    row = PassOn(
        from_showing=kept,
        to_showing=following,
        movement=movement,
        travel_housing=travel_housing.strip(),
        part_b=part_b,
        serves_as_baseline=part_b is not None
        and part_b.examined_at is not None
        and at - part_b.examined_at < timedelta(days=BASELINE_DAYS),
        registrar=by,
        conservator=conservator,
        at=at,
    ).append()
    make_move(
        showing_id=kept.pk,
        move="pass_on",
        by=by,
        role=role,
        second=conservator if conservator.pk != by.pk else None,
        second_role=Role.CONSERVATOR if conservator.pk != by.pk else None,
        at=at,
    )
    return row
