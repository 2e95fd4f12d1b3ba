"""One task: what, why, for whom, by when; and the order in which tasks are read."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from enum import IntEnum

from lifecycle.process.numbers import reading_order
from lifecycle.process.stages import Role


class Band(IntEnum):
    """Headings on the page; the order inside is that of ``in_order``."""

    HARD_OVERDUE = 0
    OVERDUE = 1
    TODAY = 2
    THIS_WEEK = 3
    FOUR_WEEKS = 4
    LATER = 5

    @property
    def label(self) -> str:
        return (
            "Stopped, or past a fixed day",
            "Overdue",
            "Today",
            "Within seven days",
            "Within four weeks",
            "Later",
        )[self.value]


@dataclass(frozen=True, slots=True, kw_only=True)
class Duty:
    """``key`` is rule, subject and occurrence; it never holds today's or a drifting due date.

    ``code`` leads to the page that settles it. ``people`` are those named for it; when nobody is
    named it belongs to everybody who holds the role and may see the showing. ``subject_uid`` is
    the record the page needs when that is not the showing itself. ``asked_on`` is the day on which
    somebody else asked for it, where a person waits for the answer.
    """

    key: str
    code: str
    text: str
    why: str
    role: Role
    also: frozenset[Role] = frozenset()
    """Further roles whose task it is too, in their own gallery, job or exhibition."""

    due_on: date | None = None
    hard: bool = False
    stopped: bool = False
    days_in_hand: int | None = None
    people: frozenset[int] = frozenset()
    about: str = ""
    object_number: str = ""
    title: str = ""
    exhibition: str = ""
    showing_uid: str = ""
    showing_id: int = 0
    subject_uid: str = ""
    asked_on: date | None = None


def band_of(duty: Duty, today: date) -> Band:
    """Return the heading a duty stands under on a given day."""
    if duty.stopped:
        return Band.HARD_OVERDUE
    if duty.due_on is None:
        return Band.LATER
    days = (duty.due_on - today).days
    if days < 0:
        return Band.HARD_OVERDUE if duty.hard else Band.OVERDUE
    if days == 0:
        return Band.TODAY
    if days <= 7:
        return Band.THIS_WEEK
    return Band.FOUR_WEEKS if days <= 28 else Band.LATER


def in_order(duties: Iterable[Duty], today: date) -> list[Duty]:
    """Sort duties, most pressing first, each key once.

    Stopped or past a fixed day, then least days in hand, then due day, then object number.
    """
    once = {duty.key: duty for duty in duties}

    def place(duty: Duty) -> tuple[bool, int, date, tuple[tuple[int, int, str], ...], str]:
        gone = duty.stopped or (duty.hard and duty.due_on is not None and duty.due_on < today)
        due = duty.due_on or date.max
        in_hand = duty.days_in_hand
        if in_hand is None:
            in_hand = (due - today).days
        return (not gone, in_hand, due, reading_order(duty.object_number), duty.key)

    return sorted(once.values(), key=place)
