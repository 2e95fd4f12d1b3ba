"""Who must consent to a version, and how each of those consents stands on a day.

The one place of this rule: the step log, the moves, the pages and the letters all ask here.
"""

from calendar import monthrange
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Final, Protocol
from zoneinfo import ZoneInfo

from lifecycle.process.facts.treatment import ConsentFacts
from lifecycle.process.stages import Role
from lifecycle.process.words import OwnerKind
from lifecycle.queries.clock import museum_zone
from lifecycle.queries.days_off import rules_in_force
from lifecycle.queries.treatment.card_then import community_then
from lifecycle.records.models.people import Person
from lifecycle.records.models.rules import HouseRules
from lifecycle.records.models.treatment import (
    AGREED,
    SOURCE_COMMUNITY,
    Decision,
    ProposalVersion,
)

LAPSES_MONTHS: Final = 12


class Decided(Protocol):
    """What a consent to a version and a consent to a deviation have in common."""

    person: Person
    person_id: int
    role: str
    community: str
    speaker: str
    decision: str
    limits: str
    for_person_id: int | None
    for_person: Person | None
    decided_at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Clock:
    """The day a question is asked for, the museum's zone, and how long a consent counts."""

    moment: datetime
    zone: ZoneInfo
    lapses_months: int = LAPSES_MONTHS

    @property
    def today(self) -> date:
        return self.moment.astimezone(self.zone).date()

    def day(self, moment: datetime) -> date:
        return moment.astimezone(self.zone).date()


def clock_at(moment: datetime) -> Clock:
    """Read the museum's zone and the house rules in force; two queries."""
    zone = museum_zone()
    return clock_under(rules_in_force(moment.astimezone(zone).date()), moment, zone)


def clock_under(rules: HouseRules | None, moment: datetime, zone: ZoneInfo) -> Clock:
    """The clock of a moment under house rules that were read already."""
    months = rules.consent_lapses_months if rules is not None else None
    return Clock(moment=moment, zone=zone, lapses_months=months or LAPSES_MONTHS)


def months_later(day: date, months: int) -> date:
    """Return the same day of a later month, or that month's last day when it is shorter.

    >>> months_later(date(2024, 2, 29), 12)
    datetime.date(2025, 2, 28)
    """
    month = day.month - 1 + months
    year, month = day.year + month // 12, month % 12 + 1
    return date(year, month, min(day.day, monthrange(year, month)[1]))


def roles_needed(version: ProposalVersion) -> tuple[Role, ...]:
    """Curator always; the lender for a loan; the head of collections if it can't be undone.

    The head of collections too where the object is culturally restricted and no community is
    named that could be asked: somebody has to answer for it.
    """
    thing = version.proposal.museum_object
    needed = [Role.CURATOR]
    if thing.owner_kind == OwnerKind.LENDER:
        needed.append(Role.LENDER)
    if version.reversible is False or is_nobodys_to_answer(version):
        needed.append(Role.HEAD_OF_COLLECTIONS)
    return tuple(needed)


def is_nobodys_to_answer(version: ProposalVersion) -> bool:
    """Whether the object is culturally restricted and there is no community to ask."""
    restricted = version.proposal.museum_object.culturally_restricted.strip()
    return bool(restricted) and not community_needed(version)


def community_needed(version: ProposalVersion) -> str:
    """Return the source community whose answer the version needs, or nothing.

    A version keeps the community it was sent to, whatever the card says since; of one that was
    sent before versions kept it, the card's history says. Where it was sent to none, the one that
    the card names today is asked.
    """
    sent_to = version.community or community_then(version)
    return sent_to or version.proposal.museum_object.source_community


def counts_through(decided_on: date, valid_until: date | None, months: int) -> date:
    """Return the last day on which an agreement counts.

    The day exactly so many months later no longer counts; a stated last day does.
    """
    lapse = months_later(decided_on, months) - timedelta(days=1)
    return lapse if valid_until is None else min(lapse, valid_until)


def latest_words(decisions: Iterable[Decided], clock: Clock) -> list[Decided]:
    """Return each party's latest word given by the moment."""
    latest: dict[str, Decided] = {}
    for decision in sorted(decisions, key=lambda d: d.decided_at):
        if decision.decided_at <= clock.moment:
            latest[party_of(decision)] = decision
    return list(latest.values())


def party_of(said: Decided) -> str:
    """Whose word it is: a deputy speaks for whom they stand, any speaker for their community."""
    if said.role == SOURCE_COMMUNITY:
        return said.community.casefold()
    return str(said.for_person_id or said.person_id)


def consent_facts(
    role: Role, decisions: Sequence[Decided], clock: Clock, *, asked_at: datetime | None
) -> ConsentFacts:
    """Return how one role stands: agreed while an agreement counts and nobody of it objects."""
    said = [d for d in decisions if d.role == role]
    return _standing(ConsentFacts(role=role), said, clock, asked_at=asked_at)


def community_facts(
    community: str, decisions: Sequence[Decided], clock: Clock, *, asked_at: datetime | None
) -> ConsentFacts:
    """Return how a source community stands; what another one said does not count for it."""
    named = community.casefold()
    said = [d for d in decisions if d.role == SOURCE_COMMUNITY and party_of(d) == named]
    asked = ConsentFacts(role=Role.REGISTRAR, community=community)
    return _standing(asked, said, clock, asked_at=asked_at)


def _standing(
    asked: ConsentFacts,
    decisions: Sequence[Decided],
    clock: Clock,
    *,
    asked_at: datetime | None,
) -> ConsentFacts:
    words = latest_words(decisions, clock)
    objections = [d for d in words if Decision(d.decision) not in AGREED]
    agreements = [d for d in words if Decision(d.decision) in AGREED]
    through = {
        id(d): counts_through(
            clock.day(d.decided_at), getattr(d, "valid_until", None), clock.lapses_months
        )
        for d in agreements
    }
    counting = [d for d in agreements if through[id(d)] >= clock.today]
    asked_on = None if asked_at is None else clock.day(asked_at)
    if not words:
        return replace(asked, asked_on=asked_on)
    spoken = max(objections or counting or agreements, key=lambda d: d.decided_at)
    lapsed = not objections and not counting
    name = spoken.person.full_name
    return replace(
        asked,
        person=f"{spoken.speaker} ({asked.community})" if spoken.speaker else name,
        person_id=None if asked.community else spoken.person_id,
        asked_on=asked_on,
        decided=True,
        agreed=not objections and bool(counting),
        limits="; ".join(d.limits for d in counting if d.limits) if not objections else "",
        lapsed_on=through[id(spoken)] + timedelta(days=1) if lapsed else None,
        answer=Decision(spoken.decision).label,
    )


def version_consents(version: ProposalVersion, clock: Clock) -> tuple[ConsentFacts, ...]:
    """Return the consents a version needs. Prefetch ``consents`` with their people first."""
    return asked_of(version, list(version.consents.all()), clock, asked_at=version.signed_at)


def asked_of(
    version: ProposalVersion,
    decisions: Sequence[Decided],
    clock: Clock,
    *,
    asked_at: datetime | None = None,
) -> tuple[ConsentFacts, ...]:
    """Return how everybody the version needs stands, by these decisions on it or a deviation."""
    found = [
        consent_facts(role, decisions, clock, asked_at=asked_at) for role in roles_needed(version)
    ]
    if community := community_needed(version):
        found.append(community_facts(community, decisions, clock, asked_at=asked_at))
    return tuple(found)


def is_consented(version: ProposalVersion, clock: Clock) -> bool:
    """Whether the version was sent by then and everybody it needs agrees at that moment."""
    if version.signed_at is None or version.signed_at > clock.moment:
        return False
    return all(consent.agreed for consent in version_consents(version, clock))


def deviation_is_open(decisions: Sequence[Decided], version: ProposalVersion, clock: Clock) -> bool:
    """Whether somebody the version needs has not agreed to a deviation from it."""
    return not all(consent.agreed for consent in asked_of(version, decisions, clock))
