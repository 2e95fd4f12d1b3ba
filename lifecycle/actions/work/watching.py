"""What becomes pressing by time alone: asked of the rows at each tick, never remembered.

The mails already written are the memory, so a worker that starts again tells nothing twice.
"""

from datetime import datetime

from django.db import transaction

from lifecycle.actions.work.alarms import hazard_words, tell_at_once
from lifecycle.process.days import day_words
from lifecycle.process.stages import Role
from lifecycle.queries.clock import museum_zone
from lifecycle.queries.rights import person_facts
from lifecycle.queries.telling import (
    LastDayCome,
    holders,
    last_days_come,
    movements_unconfirmed,
)
from lifecycle.records.models import Message, Movement, Person


def tell_last_days(*, at: datetime) -> None:
    """Tell of the last permissible days that have come, or gone, while the face is still up."""
    for come in last_days_come(at):
        _tell_last_day(come, at)


def tell_missing(*, at: datetime) -> None:
    """Tell of objects of which nobody has said for a day where they are."""
    for movement in movements_unconfirmed(at):
        _tell_missing(movement, at)


@transaction.atomic
def _tell_last_day(come: LastDayCome, at: datetime) -> None:
    """One mail on the last day and one when it has passed, in one transaction for all of them."""
    about = f"last-day/{come.period.uid}/"
    if _is_known(about, come):
        return
    thing, show = come.showing.museum_object, come.showing.exhibition
    number = f"{thing.object_number}, {come.face.label}"
    said = "is past its last day" if come.level else "has its last day today"
    tell_at_once(
        people=_answerable(come, at),
        key=f"{about}{come.last_day.isoformat()}/{come.level}",
        subject=f"{number} {said}",
        body=(
            f"{number} ({thing.title}) in {come.period.place.name}, {show.title}, {said}: "
            f"{day_words(come.last_day)} is the last day that its light or its loan allows. "
            "Turn, cover, take off show, or override it by name."
        ),
        why="it is yours as conservator, exhibition manager or head of collections",
        page="light-object",
        uid=thing.uid,
        at=at,
    )


def _is_known(about: str, come: LastDayCome) -> bool:
    """Whether a mail as grave was written on this last day or after it.

    One from before belongs to an earlier last day that was put off since, by less light or a
    longer loan: reaching the new one is news.
    """
    zone = museum_zone()
    return any(
        int(key.rpartition("/")[2]) >= come.level and told.astimezone(zone).date() >= come.last_day
        for key, told in Message.objects.filter(key__startswith=about).values_list("key", "due_at")
    )


def _answerable(come: LastDayCome, at: datetime) -> list[Person]:
    """Conservators, the manager of this exhibition, heads of collections; each person once."""
    role, exhibition = Role.EXHIBITION_MANAGER, come.showing.exhibition_id
    managers = [
        one
        for one in holders([role], at)
        if any(
            post.role is role and exhibition in post.exhibitions
            for post in person_facts(one, at).posts
        )
    ]
    others = holders([Role.CONSERVATOR, Role.HEAD_OF_COLLECTIONS], at)
    return list(dict.fromkeys([*others, *managers]))


@transaction.atomic
def _tell_missing(movement: Movement, at: datetime) -> None:
    things = [line.museum_object for line in movement.lines.all()]
    what = ", ".join(thing.object_number for thing in things)
    arrived = movement.arrived_at is not None
    said = (
        f"It was received at {movement.to_place.name}, but nobody has confirmed that it is there."
        if arrived
        else f"It left {movement.from_place.name} for {movement.to_place.name} and has not arrived."
    )
    carrier = movement.carried_by.full_name if movement.carried_by is not None else "nobody named"
    tell_at_once(
        people=holders([Role.REGISTRAR], at),
        key=f"missing/{movement.uid}",
        subject=f"Not found for a day: {what}",
        body=(
            f"{movement.movement_no}: {what}. {said} Carried by {carrier}. "
            "Find it and confirm where it is."
            f"{hazard_words(thing.pk for thing in things)}"
        ),
        why="you are registrar and for 24 hours nobody has said where it is",
        page="movement",
        uid=movement.uid,
        at=at,
    )
