"""A person's name, organisation and dates; and when their morning letter comes."""

from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import available_timezones

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.people.posts import steward_after
from lifecycle.actions.refusals import NotAllowed, Reason, Refused
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.queries.rights import museum_day
from lifecycle.records.models import Organisation, Person


@dataclass(frozen=True, slots=True, kw_only=True)
class PersonDetails:
    """Who somebody is; contact is removable, the name is not."""

    full_name: str
    organisation: Organisation | None = None
    email: str = ""
    ends_on: date | None = None


def _check(details: PersonDetails, *, besides: int | None) -> None:
    reasons = []
    name = " ".join(details.full_name.split())
    longest = max((len(word.strip(".")) for word in name.split()), default=0)
    if not name:
        reasons.append(Reason("Write the full name.", "full_name"))
    elif longest < 2:
        reasons.append(
            Reason(
                "Write the name in full: years from now initials tell nobody who this was.",
                "full_name",
            )
        )
    elif twin := Person.objects.filter(full_name__iexact=name).exclude(pk=besides or 0).first():
        reasons.append(
            Reason(
                f"{twin.full_name} is on record already. If this is somebody else, add a middle "
                "name or the house, so that signatures can be told apart.",
                "full_name",
            )
        )
    if reasons:
        raise Refused(reasons)


def _fill(person: Person, details: PersonDetails) -> Person:
    person.full_name = " ".join(details.full_name.split())
    person.organisation = details.organisation
    person.email = details.email
    person.ends_on = details.ends_on
    return person


@transaction.atomic
def add_person(*, by: Person, role: Role, at: datetime, details: PersonDetails) -> Person:
    """Put somebody on record; an account and roles are given apart."""
    allow(by=by, role=role, deed=Deed.STEWARD, at=at)
    _check(details, besides=None)
    return _fill(Person(), details).keep(by=by, role=role, why="Person put on record.", at=at)


@transaction.atomic
def change_person(
    *, by: Person, role: Role, at: datetime, person: Person, details: PersonDetails, why: str
) -> Person:
    """Change a name, organisation, address or last day; what they signed keeps its old name."""
    allow(by=by, role=role, deed=Deed.STEWARD, at=at)
    stored = Person.objects.select_for_update().get(pk=person.pk)
    _check(details, besides=stored.pk)
    if not why.strip():
        raise Refused(Reason("Say why this changes; the reason stays with it.", "why"))
    if stored.pk == by.pk and details.ends_on is not None and details.ends_on < museum_day(at):
        raise Refused(Reason("You cannot end your own account for a day gone by.", "ends_on"))
    if details.ends_on is not None and not steward_after(stored, details.ends_on):
        said = "Nobody would be steward after that day: give the role to somebody else first."
        raise Refused(Reason(said, "ends_on"))
    return _fill(stored, details).keep(by=by, role=role, why=why, at=at)


@transaction.atomic
def set_letter(
    *, by: Person, role: Role, at: datetime, person: Person, letter_hour: int | None, zone: str
) -> Person:
    """Choose the hour (0 to 23; None for no letter) and the zone of one's own morning letter."""
    if by.pk != person.pk:
        raise NotAllowed("Everybody chooses the hour of their own letter.")
    reasons = []
    if letter_hour is not None and not 0 <= letter_hour <= 23:
        reasons.append(Reason("An hour is a number from 0 to 23.", "letter_hour"))
    if zone and zone not in available_timezones():
        reasons.append(Reason(f"“{zone}” is no time zone, such as Europe/London is one.", "zone"))
    if reasons:
        raise Refused(reasons)
    stored = Person.objects.select_for_update().get(pk=person.pk)
    stored.letter_hour, stored.zone = letter_hour, zone
    return stored.keep(by=by, role=role, why="Own choice of hour and zone.", at=at)
