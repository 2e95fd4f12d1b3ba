"""Two names: what needs two people is refused when it names one, or one twice."""

from collections.abc import Iterator
from datetime import date

from lifecycle.actions.refusals import Reason
from lifecycle.records.models import Person


def faults_of_pair(
    first: Person | None, second: Person | None, *, first_field: str, second_field: str
) -> Iterator[Reason]:
    """Yield what is wrong with a pair of people; nothing when two different people are named."""
    if first is None:
        yield Reason("Name the first of the two people.", first_field, "people.first")
    if second is None:
        yield Reason("Name the second of the two people.", second_field, "people.second")
    elif first is not None and first.pk == second.pk:
        text = f"{second.full_name} is named twice; this takes two people."
        yield Reason(text, second_field, "people.twice")


def gone_by(person: Person, day: date) -> bool:
    """Return whether the person's account has ended before ``day``."""
    return person.ends_on is not None and person.ends_on < day
