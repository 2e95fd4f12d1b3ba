"""Who walks where: the cases a person may see, with what they may do at each."""

from dataclasses import dataclass
from datetime import date, datetime

from lifecycle.process.rights import PersonFacts, SubjectFacts
from lifecycle.process.stages import Role
from lifecycle.queries.light.watching import CaseDue, ObjectDue, walk
from lifecycle.queries.rights import places_below
from lifecycle.records.models import Person, Place

HANDS = frozenset({Role.ATTENDANT, Role.TECHNICIAN})
GUESTS = frozenset({Role.COURIER, Role.LENDER})


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnCase:
    """A case on somebody's walk."""

    case: CaseDue
    about: SubjectFacts

    @property
    def place(self) -> Place:
        return self.case.place

    @property
    def objects(self) -> tuple[ObjectDue, ...]:
        return self.case.objects

    @property
    def first_due(self) -> date:
        return self.case.first_due


def own_walk(person: Person, facts: PersonFacts, at: datetime) -> list[OwnCase]:
    """Return the cases a person walks: all of them, or those of the galleries they are posted to.

    A technician posted to no gallery walks them all, as their Today asks of them.
    Guests walk past their own objects only.
    """
    roles = facts.roles
    guest = bool(roles) and roles <= GUESTS
    inside = None
    galleries = {pk for post in facts.posts for pk in post.galleries}
    if not guest and roles <= HANDS | GUESTS and (galleries or Role.TECHNICIAN not in roles):
        inside = places_below(galleries)
    cases = walk(at, inside=inside)
    if guest:
        own = {pk for post in facts.posts for pk in post.objects}
        cases = [
            case
            for case in cases
            if any(one.showing.museum_object_id in own for one in case.objects)
        ]
    return [OwnCase(case=case, about=SubjectFacts(place_ids=case.chain)) for case in cases]
