"""Standing consents: which one, if any, covers a minor step on an object on a day."""

from collections.abc import Iterator
from datetime import date
from typing import Any, Final
from zoneinfo import ZoneInfo

from django.db.models import Prefetch, Q, QuerySet

from lifecycle.process.days import day_words
from lifecycle.process.duties.of_objects import StandingFacts
from lifecycle.process.stages import Role
from lifecycle.process.words import OwnerKind
from lifecycle.queries.treatment.cautions import never_minor
from lifecycle.queries.treatment.consenting import Clock
from lifecycle.records.models.objects import MuseumObject
from lifecycle.records.models.treatment import StandingConsent, StandingConsentStep
from lifecycle.records.models.words import Word

AGREEING: Final = (Role.CURATOR, Role.HEAD_OF_COLLECTIONS)
"""Both agree before a standing consent counts."""

READERS: Final = frozenset({Role.CONSERVATOR, Role.REGISTRAR, *AGREEING})
"""Everybody who may propose, consent or register may read them."""


def standing_consents() -> QuerySet[StandingConsent, Any]:
    """All standing consents with their steps, newest first."""
    steps = StandingConsentStep.objects.select_related("step").order_by("step__label", "pk")
    return (
        StandingConsent.objects.select_related(
            "object_type", "lender", "lender_writing", "curator", "head", "written_by", "ended_by"
        )
        .prefetch_related(Prefetch("steps", steps))
        .order_by("-from_on", "-pk")
    )


def waiting_standing_consents(today: date, zone: ZoneInfo) -> list[StandingFacts]:
    """Return those that curator or head of collections have still to agree to; two queries."""
    one_of_two = Q(curator_agreed_at=None) | Q(head_agreed_at=None)
    rows = standing_consents().filter(one_of_two, ended_at=None, until_on__gte=today)
    return [
        StandingFacts(
            uid=str(row.uid),
            standing_no=row.standing_no,
            object_type=row.object_type.label,
            steps=tuple(line.step.label for line in row.steps.all()),
            written_by=row.written_by.full_name,
            written_on=row.written_at.astimezone(zone).date(),
            from_on=row.from_on,
            waits_for=frozenset(
                role
                for role, agreed_at in (
                    (Role.CURATOR, row.curator_agreed_at),
                    (Role.HEAD_OF_COLLECTIONS, row.head_agreed_at),
                )
                if agreed_at is None
            ),
        )
        for row in rows
    ]


def in_force_at(clock: Clock) -> Q:
    """The condition that a standing consent was agreed by both and runs at the clock's moment."""
    return Q(
        from_on__lte=clock.today,
        until_on__gte=clock.today,
        curator_agreed_at__lte=clock.moment,
        head_agreed_at__lte=clock.moment,
    ) & (Q(ended_at=None) | Q(ended_at__gt=clock.moment))


def covering(museum_object: MuseumObject, step: Word, clock: Clock) -> StandingConsent | None:
    """Return the standing consent under which the step may be done, if any."""
    if any(True for _ in why_never(museum_object)):
        return None
    rows = standing_consents().filter(
        in_force_at(clock), object_type=museum_object.object_type_id, steps__step=step
    )
    if museum_object.owner_kind == OwnerKind.LENDER:
        rows = rows.filter(lender=museum_object.lender_id, lender_writing__isnull=False)
    else:
        rows = rows.filter(lender=None)
    return rows.first()


def why_never(museum_object: MuseumObject) -> Iterator[str]:
    """Yield why no standing consent can serve for this object, whatever the step."""
    if museum_object.source_community:
        yield (
            f"No standing consent serves for {museum_object.object_number}: "
            f"{museum_object.source_community} is asked before any treatment. Propose the step."
        )
    for found in never_minor(museum_object):
        yield (
            f"No standing consent serves for {museum_object.object_number}: a caution applies "
            f"({found}). Propose the step and have it consented."
        )


def why_not(museum_object: MuseumObject, step: Word, clock: Clock) -> Iterator[str]:
    """Yield why the step is not covered by a standing consent at that moment."""
    never = list(why_never(museum_object))
    yield from never
    if never or covering(museum_object, step, clock) is not None:
        return
    if museum_object.owner_kind == OwnerKind.LENDER:
        yield (
            f"{museum_object.object_number} is lent by {museum_object.lender}: no standing consent "
            f"with the lender's writing covers {step.label} on {day_words(clock.today)}."
        )
    else:
        yield (
            f"No standing consent covers {step.label} for {museum_object.object_type.label} on "
            f"{day_words(clock.today)}: propose the step, or have a standing consent agreed."
        )
