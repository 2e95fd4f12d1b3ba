"""Which right serves where several do: asked once here for every deed of preparation."""

from datetime import datetime

from lifecycle.actions.allowing import allow
from lifecycle.process.rights import Deed, SubjectFacts, may
from lifecycle.process.stages import Role
from lifecycle.queries.rights import person_facts
from lifecycle.records.models.people import Person


def allow_one_of(
    *, by: Person, role: Role, deeds: tuple[Deed, ...], at: datetime, about: SubjectFacts
) -> None:
    """Return quietly if any of the deeds is allowed; otherwise refuse for the first of them."""
    facts = person_facts(by, at)
    if not any(may(facts, deed, about, role) for deed in deeds):
        allow(by=by, role=role, deed=deeds[0], at=at, about=about)
