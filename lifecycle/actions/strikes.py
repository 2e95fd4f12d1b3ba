"""Take back a move that was made in error, while nothing has been carried on from it."""

from datetime import date, datetime, timedelta

from django.db import transaction

from lifecycle.actions.display.striking import put_back
from lifecycle.actions.moves.making import last_entry, lock_showing, take_stage_back
from lifecycle.actions.refusals import NotAllowed, Reason, Refused
from lifecycle.process.days import day_words
from lifecycle.process.moves import MOVES
from lifecycle.process.stages import Role
from lifecycle.queries.rights import museum_day, person_facts
from lifecycle.records.models import JournalEntry, Person, Showing, StruckMove


def last_day_to_strike(made_on: date) -> date:
    """Return the next working day, Monday to Friday, after the day of the move.

    >>> last_day_to_strike(date(2026, 3, 13))  # a Friday
    datetime.date(2026, 3, 16)
    """
    day = made_on + timedelta(days=1)
    while day.weekday() > 4:
        day += timedelta(days=1)
    return day


@transaction.atomic
def strike_move(*, entry_id: int, by: Person, role: Role, at: datetime, reason: str) -> StruckMove:
    """Strike the last move of a showing: stage, place and display period go back.

    The struck row, its signatures and both names stay visible.

    :raises NotAllowed: for anybody but the maker of the move and the head of collections
    :raises Refused: another move followed, the time is past, or the object was really carried
    """
    found = JournalEntry.objects.filter(pk=entry_id).values_list("showing_id", flat=True).first()
    if found is None:
        raise Refused("There is no such move: go back to the showing and look again.")
    showing = lock_showing(found)
    entry = JournalEntry.objects.select_related("by").get(pk=entry_id)
    roles = person_facts(by, at).roles
    mine = entry.by_id == by.pk and role in roles
    head = role is Role.HEAD_OF_COLLECTIONS and role in roles
    if not (mine or head):
        raise NotAllowed(
            f"Only {entry.by.full_name}, who made this move, or the head of collections "
            "may strike it: ask one of them."
        )
    if reasons := _reasons(showing, entry, reason, at):
        raise Refused(reasons)
    if showing.passed_on_to is not None and entry.move == "pass_on":
        _strike_next(showing.passed_on_to, by=by, role=role, at=at, reason=reason)
    put_back(showing=showing, entry=entry, by=by, role=role, at=at, reason=reason.strip())
    take_stage_back(showing, entry, by=by, role=role, at=at)
    return StruckMove(entry=entry, by=by, role=role.value, at=at, reason=reason.strip()).append()


def _reasons(showing: Showing, entry: JournalEntry, reason: str, at: datetime) -> list[Reason]:
    number = showing.museum_object.object_number
    reasons = []
    last = last_entry(showing)
    struck = StruckMove.objects.filter(entry=entry).select_related("by").first()
    if struck is not None:
        text = f"This move of {number} is struck already, by {struck.by.full_name}."
        reasons.append(Reason(text, code="strike.twice"))
    elif last is None or last.pk != entry.pk:
        then = MOVES[last.move].done if last is not None else "moved"
        text = f"{number} was {then} after that: strike the later move first, or record a new one."
        reasons.append(Reason(text, code="strike.followed"))
    last_day = last_day_to_strike(museum_day(entry.at))
    if museum_day(at) > last_day:
        text = (
            f"A move can be struck within one working day, here until {day_words(last_day)}: "
            f"record the move that sets {number} right instead."
        )
        reasons.append(Reason(text, code="strike.late"))
    if not reason.strip():
        reasons.append(Reason("Say why the move is struck.", field="reason"))
    return reasons


def _strike_next(coming: Showing, *, by: Person, role: Role, at: datetime, reason: str) -> None:
    """The other end of a passing on: the next showing goes back to where it waited."""
    last = last_entry(coming)
    if last is None or last.move != "pass_on":
        raise Refused(
            f"{coming.request_no} has moved on since: its later moves must be struck first."
        )
    take_stage_back(coming, last, by=by, role=role, at=at)
    StruckMove(entry=last, by=by, role=role.value, at=at, reason=reason.strip()).append()
