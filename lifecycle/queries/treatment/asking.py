"""Whom a version goes to: the people by name, and the day by which they answer."""

from datetime import datetime

from lifecycle.process.days import day_words
from lifecycle.process.stages import Role
from lifecycle.process.treatment_days import answer_due
from lifecycle.queries.days_off import days_off_on
from lifecycle.queries.people import running
from lifecycle.queries.rights import museum_day
from lifecycle.queries.treatment.consenting import community_needed, roles_needed
from lifecycle.records.models.people import RoleAssignment
from lifecycle.records.models.treatment import ProposalVersion


def sent_to(version: ProposalVersion, at: datetime) -> list[str]:
    """Return everybody a version needs, each with names where there are any; three queries.

    ``at``: who holds a role is asked for that day.
    """
    showing = version.proposal.showing
    thing = version.proposal.museum_object
    found = []
    for role in roles_needed(version):
        match role:
            case Role.CURATOR if showing is not None:
                people = showing.exhibition.curators.order_by("full_name", "pk")
                names = [person.full_name for person in people]
            case Role.LENDER if thing.lender is not None:
                names = [thing.lender.name]
            case _:
                names = _holding(role, at)
        found.append(f"{', '.join(names)} ({role.label})" if names else f"the {role.label}")
    if community := community_needed(version):
        found.append(f"{community} (source community)")
    return found


def _holding(role: Role, at: datetime) -> list[str]:
    day = museum_day(at)
    rows = RoleAssignment.objects.filter(running(day), role=role).select_related("person")
    names = [row.person.full_name for row in rows.order_by("person__full_name", "pk")]
    return list(dict.fromkeys(names))


def asked_in_words(version: ProposalVersion) -> str:
    """Return whom a sent version went to and by when an answer is needed, in one sentence."""
    if version.signed_at is None:
        return ""
    sent_on = museum_day(version.signed_at)
    to = sent_to(version, version.signed_at)
    said = f"{', '.join(to[:-1])} and {to[-1]}" if len(to) > 1 else to[0]
    due = day_words(answer_due(sent_on, days_off_on(sent_on)))
    return f"sent to {said}; an answer is needed by {due}."
