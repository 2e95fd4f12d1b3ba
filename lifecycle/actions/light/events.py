"""Light events: anyone at the case may report one; it voids the last reading there."""

from dataclasses import replace
from datetime import datetime, timedelta

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.process.words import Certainty
from lifecycle.queries.light.watching import objects_at
from lifecycle.queries.rights import about_place, person_facts
from lifecycle.records.models import LightEvent, Person, Place
from lifecycle.records.models.light import ChangeOfLight


@transaction.atomic
def report_light_event(
    *,
    by: Person,
    role: Role,
    at: datetime,
    place: Place,
    what: ChangeOfLight,
    from_at: datetime,
    until_at: datetime | None = None,
    certainty: Certainty = Certainty.EXACT,
    ticket: str = "",
    note: str = "",
) -> LightEvent:
    """Keep what changed the light at ``place`` and between which moments it happened.

    From then on nothing is known of the light there until the next reading, which is due the same
    day; the account charges the ceiling meanwhile.

    :param until_at: the last moment at which it can have happened; left out when it is known
    :raises Refused: if the span ends before it starts or lies in the future, or if the same change
        was reported for the same minute already
    """
    until_at = from_at if until_at is None else until_at
    Place.objects.select_for_update().get(pk=place.pk)
    about = about_place(place)
    if role in (Role.COURIER, Role.LENDER):
        own = {pk for post in person_facts(by, at).posts for pk in post.objects}
        about = replace(about, object_id=min(own & objects_at(place, at), default=None))
    allow(by=by, role=role, deed=Deed.REPORT_EVENT, at=at, about=about)
    reasons = []
    if until_at < from_at:
        text = "It can't end before it begins: put the earlier moment first."
        reasons.append(Reason(text, "until_at"))
    if from_at > at or until_at > at:
        reasons.append(Reason("An event lies in the past: enter when it was seen.", "from_at"))
    if certainty is Certainty.EXACT and until_at != from_at:
        text = "A moment known exactly has no second one: leave it out, or say 'between'."
        reasons.append(Reason(text, "certainty"))
    if not reasons and (twin := told_already(place, what, from_at, until_at)):
        text = (
            f"{what.label} at {place.name} was reported for the same minute by "
            f"{twin.reported_by.full_name} already: the light there is to be read again."
        )
        reasons.append(Reason(text[:1].upper() + text[1:], code="event.twice"))
    if reasons:
        raise Refused(reasons)
    return LightEvent(
        place=place,
        what=what.value,
        from_at=from_at,
        until_at=until_at,
        certainty=certainty.value,
        reported_by=by,
        reported_at=at,
        ticket=ticket.strip(),
        note=note.strip(),
    ).append()


def told_already(
    place: Place, what: ChangeOfLight, from_at: datetime, until_at: datetime
) -> LightEvent | None:
    """Return the same change at the same place in the same minute; two different ones may meet."""
    same = LightEvent.objects.filter(place=place, what=what.value)
    for name, moment in (("from_at", from_at), ("until_at", until_at)):
        start = moment.replace(second=0, microsecond=0)
        same = same.filter(**{f"{name}__gte": start, f"{name}__lt": start + timedelta(minutes=1)})
    return same.select_related("reported_by").order_by("pk").first()
