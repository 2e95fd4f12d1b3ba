"""Postpone, extend or close early: the exhibition's dates move and all that hangs on them follows.

Nothing that has happened is moved: an open display period keeps its beginning, a closed showing
everything. Light, days in hand and tasks are computed from these rows and follow by themselves.
"""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.planning.counting import counted
from lifecycle.process.days import day_words
from lifecycle.process.rights import Deed
from lifecycle.process.stages import BEFORE_DISPLAY, CLOSED, Role, Stage
from lifecycle.queries.rights import about_exhibition
from lifecycle.records.models import (
    Appointment,
    AppointmentChange,
    Exhibition,
    FaceWanted,
    Person,
    Showing,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Dates:
    """The four dates of an exhibition; ``closes`` is the last day open."""

    install_from: date
    opens: date
    closes: date
    deinstall_until: date


@dataclass(frozen=True, slots=True)
class MovedDates:
    """What a move of the dates took along."""

    exhibition: Exhibition
    showings: int
    appointments: int


def date_reasons(dates: Dates) -> list[Reason]:
    """Return what is wrong with the order or the length of the dates."""
    reasons = []
    if dates.opens < dates.install_from:
        reasons.append(Reason("It cannot open before its installation begins.", "opens"))
    if dates.closes < dates.opens:
        reasons.append(Reason("It cannot close before it opens.", "closes"))
    if dates.deinstall_until < dates.closes:
        reasons.append(Reason("De-installing ends after the last day open.", "deinstall_until"))
    if (dates.deinstall_until - dates.install_from).days > 3653:
        reasons.append(Reason("These dates span more than ten years: check the years.", "closes"))
    return reasons


@dataclass(frozen=True, slots=True)
class _Follow:
    """How a date that hangs on the exhibition follows it."""

    old: Dates
    new: Dates

    @property
    def shift(self) -> timedelta:
        return self.new.opens - self.old.opens

    def beginning(self, day: date) -> date:
        """A first day: opening goes to opening, others keep their distance, inside the run."""
        moved = self.new.opens if day == self.old.opens else day + self.shift
        return min(max(moved, self.new.install_from), self.new.closes)

    def end(self, day: date) -> date:
        """A last day: closing goes to closing, others keep their distance, inside the run."""
        moved = self.new.closes if day >= self.old.closes else day + self.shift
        return min(max(moved, self.new.opens), self.new.closes)

    def working_day(self, day: date, *, at_the_end: bool) -> date:
        """The day of an install or turn, or ``at_the_end`` of a de-install: keeps its distance."""
        if at_the_end or day > self.old.closes:
            moved = day + (self.new.closes - self.old.closes)
            return min(max(moved, self.new.opens), self.new.deinstall_until)
        return min(max(day + self.shift, self.new.install_from), self.new.closes)


@transaction.atomic
def move_dates(
    *, by: Person, role: Role, at: datetime, exhibition: Exhibition, dates: Dates, why: str
) -> MovedDates:
    """Move the exhibition's dates; open showings, their faces and appointments follow.

    :raises Refused: for dates out of order, no reason, no change, or an opening moved after
        objects are already on display
    """
    about = about_exhibition(exhibition)
    allow(by=by, role=role, deed=Deed.SCHEDULE, at=at, about=about)
    stored = Exhibition.objects.select_for_update().get(pk=exhibition.pk)
    old = Dates(**{name: getattr(stored, name) for name in Dates.__dataclass_fields__})
    reasons = date_reasons(dates)
    if not why.strip():
        reasons.append(Reason("Say why the dates move; it is told to everyone concerned.", "why"))
    if dates == old:
        reasons.append(Reason("These are the dates it has already.", "opens"))
    open_showings = list(
        stored.showings.select_for_update().exclude(stage__in=sorted(CLOSED)).order_by("pk")
    )
    on_display = [one for one in open_showings if one.stage in (Stage.ON_DISPLAY, Stage.ROTATION)]
    if on_display and dates.opens > old.opens:
        reasons.append(
            Reason(
                f"{counted(len(on_display), 'object')} on display already: their light runs. "
                "Take them down or keep the opening day.",
                "opens",
            )
        )
    if reasons:
        raise Refused(reasons)
    for name in Dates.__dataclass_fields__:
        setattr(stored, name, getattr(dates, name))
    stored.keep(by=by, role=role, why=why, at=at)
    follow = _Follow(old, dates)
    told = f"The dates of the exhibition moved: {why}"
    for showing in open_showings:
        _move_showing(showing, follow, by=by, role=role, at=at, why=told)
    moved = _move_appointments(open_showings, follow, by=by, role=role, at=at, why=told)
    return MovedDates(stored, len(open_showings), moved)


def _move_showing(
    showing: Showing, follow: _Follow, *, by: Person, role: Role, at: datetime, why: str
) -> None:
    """Move a showing's span and those of its faces; what has begun keeps its first day."""
    not_yet = Stage(showing.stage) in BEFORE_DISPLAY
    if not_yet:
        showing.show_from = follow.beginning(showing.show_from)
    showing.show_to = max(follow.end(showing.show_to), showing.show_from)
    showing.keep(by=by, role=role, why=why, at=at)
    faces = FaceWanted.objects.filter(showing=showing, struck=False).order_by("order", "pk")
    for face in faces:
        if not_yet:
            face.from_on = follow.beginning(face.from_on)
        face.until_on = max(follow.end(face.until_on), face.from_on)
        face.keep(by=by, role=role, why=why, at=at)


def _move_appointments(
    showings: list[Showing], follow: _Follow, *, by: Person, role: Role, at: datetime, why: str
) -> int:
    """Move what is still to come; each change is a row that the letter reads."""
    to_come = (
        Appointment.objects.select_for_update()
        .filter(showing__in=showings, state__in=["planned", "moved"])
        .order_by("pk")
    )
    changes = [
        (one, day)
        for one in to_come
        if (day := follow.working_day(one.day, at_the_end=one.kind == "deinstall")) != one.day
    ]
    _refuse_crowded(list(to_come), dict(changes))
    # Latest first when moving onward, so that no two of one showing meet on a day half-way.
    changes.sort(key=lambda pair: (pair[0].day, pair[0].pk), reverse=follow.shift >= timedelta(0))
    for appointment, day in changes:
        AppointmentChange(
            appointment=appointment,
            old_day=appointment.day,
            new_day=day,
            reason=why,
            agreed_by=by,
            by=by,
            at=at,
        ).append()
        appointment.day, appointment.state = day, "moved"
        appointment.keep(by=by, role=role, why=why, at=at)
    return len(changes)


def _refuse_crowded(to_come: list[Appointment], new_days: dict[Appointment, date]) -> None:
    """Refuse dates that would put two turns of one showing on one day."""
    taken: dict[tuple[int, str, date], Appointment] = {}
    for one in to_come:
        day = new_days.get(one, one.day)
        other = taken.setdefault((one.showing_id, one.kind, day), one)
        if other is not one:
            raise Refused(
                Reason(
                    f"{other.appointment_no} and {one.appointment_no} would both fall on "
                    f"{day_words(day)}: move or cancel one of them first.",
                    "closes",
                )
            )
