"""Not you: refuse a person whose role does not carry the deed. Every action asks here first."""

from datetime import datetime

from lifecycle.actions.refusals import NotAllowed
from lifecycle.process.rights import NOTHING, Deed, SubjectFacts, may
from lifecycle.process.stages import Role
from lifecycle.queries.rights import person_facts
from lifecycle.records.models.people import Person


def allow(
    *, by: Person, role: Role, deed: Deed, at: datetime, about: SubjectFacts = NOTHING
) -> None:
    """Return quietly if ``by`` may do ``deed`` in ``role``; otherwise raise NotAllowed in words."""
    if not may(person_facts(by, at), deed, about, role):
        raise NotAllowed(
            f"{by.full_name} may not do this as {role.label}: it takes the right to "
            f"“{deed.label}” for this object, place or exhibition. "
            "Ask somebody who holds it, or ask the steward about your posts."
        )
