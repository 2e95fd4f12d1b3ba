"""Lay a task aside on one's own first page, or take it back; the task itself stays.

No right is asked for: it is everybody's own page, and nobody else sees the difference.
"""

from datetime import date, datetime

from django.db import transaction

from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.days import day_words
from lifecycle.process.duties.duty import Band
from lifecycle.process.duties.put_by import LONGEST
from lifecycle.queries.rights import museum_day
from lifecycle.queries.today import TodayLine, today_of
from lifecycle.records.models import Person, PutBy


@transaction.atomic
def put_by(*, by: Person, at: datetime, key: str, until: date | None = None) -> PutBy:
    """Keep a task quiet until it presses more, or until a day.

    :param until: the day it comes back at the latest; None when it was only seen
    :raises Refused: if it is no task of this person's now, is stopped or past its last day, or the
        day is not within the next 60 days
    """
    line = _own_line(by, at, key)
    today = museum_day(at)
    if line.band is Band.HARD_OVERDUE:
        raise Refused("It is stopped or past its last day: it stays until it is settled.")
    if until is not None and not today < until <= today + LONGEST:
        text = f"Choose a day from tomorrow to {day_words(today + LONGEST, today)}."
        raise Refused(Reason(text, "until"))
    return PutBy(person=by, key=key, at=at, band=line.band, until=until).append()


@transaction.atomic
def bring_back(*, by: Person, at: datetime, key: str) -> PutBy:
    """Let a task that was put by speak again.

    :raises Refused: if it is not put by
    """
    line = _own_line(by, at, key)
    if line.laid is None:
        raise Refused("This task is not put by.")
    return PutBy(person=by, key=key, at=at, band=line.band, back=True).append()


def _own_line(by: Person, at: datetime, key: str) -> TodayLine:
    """The person's row is held, so that of two clicks the second sees what the first did."""
    Person.objects.select_for_update().get(pk=by.pk)
    line = next((one for one in today_of(by, at) if one.key == key), None)
    if line is None:
        raise Refused("This task is settled, or no longer yours.")
    return line
