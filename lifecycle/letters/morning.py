"""The morning letter: plain text, most pressing first, each task with why and where."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from lifecycle.process.duties.duty import Band
from lifecycle.queries.morning import Morning, MorningAppointment, MorningLine

RULE = "-" * 60
PRESSING = (Band.HARD_OVERDUE, Band.OVERDUE, Band.TODAY, Band.THIS_WEEK)


@dataclass(frozen=True, slots=True)
class MailText:
    """Subject and body of one mail."""

    subject: str
    body: str


def morning_letter(morning: Morning, *, site: str) -> MailText | None:
    """Write the letter, or None when nothing is this person's today: no mail for nothing."""
    if not morning.lines and not morning.appointments:
        return None
    sections = [
        *(
            _tasks(
                band.label, [line for line in morning.lines if line.band == band], morning.day, site
            )
            for band in PRESSING
        ),
        _tasks("Asked of you since yesterday", _just_asked(morning), morning.day, site),
        _named(morning),
        _later(morning),
    ]
    body = "\n".join(
        [
            f"Good morning {morning.name},",
            "",
            f"this is what is yours at {morning.museum} on {_day(morning.day)}.",
            "",
            *(line for section in sections for line in section),
            RULE,
            *_foot(morning, site),
        ]
    )
    return MailText(subject=_subject(morning), body=body + "\n")


def _subject(morning: Morning) -> str:
    late = sum(line.band <= Band.OVERDUE for line in morning.lines)
    today = sum(line.band == Band.TODAY for line in morning.lines)
    said = [f"{late} overdue"] * bool(late) + [f"{today} for today"] * bool(today)
    if not said:
        said = [f"{len(morning.lines) + len(morning.appointments)} to come"]
    return f"{morning.day:%A} {morning.day.day} {morning.day:%B}: {', '.join(said)}"


def _tasks(head: str, lines: list[MorningLine], day: date, site: str) -> Iterator[str]:
    if not lines:
        return
    yield f"{head.upper()} ({len(lines)})"
    yield ""
    for line in lines:
        yield f"* {line.text}"
        yield from _details(line, day, site)
        yield ""


def _just_asked(morning: Morning) -> list[MorningLine]:
    """What somebody began to wait for, told once when it is new although its day is far off."""
    since = morning.day - timedelta(days=1)
    return [
        line
        for line in morning.lines
        if line.band not in PRESSING and line.asked_on is not None and line.asked_on >= since
    ]


def _details(line: MorningLine, day: date, site: str) -> Iterator[str]:
    if line.about:
        yield f"  {line.about}"
    if line.due_on:
        yield f"  {_distance(line.due_on, day)}"
    if line.why:
        yield f"  {line.why}"
    yield f"  {site}{line.path}"


def _later(morning: Morning) -> Iterator[str]:
    """What presses less is counted, not listed: a letter that is too long is not read."""
    count = sum(line.band not in PRESSING for line in morning.lines) - len(_just_asked(morning))
    if count:
        yield f"{count} more task{'s' if count != 1 else ''} for later: they stand on Today."
        yield ""


def _named(morning: Morning) -> Iterator[str]:
    if not morning.appointments:
        return
    yield f"YOU ARE NAMED FOR ({len(morning.appointments)})"
    yield ""
    for one in morning.appointments:
        yield from _appointment(one, morning.day)


def _appointment(one: MorningAppointment, day: date) -> Iterable[str]:
    slot = f" at {one.slot}" if one.slot else ""
    yield f"* {one.what}"
    if one.day < day:
        yield f"  was planned for {_day(one.day)} and is not recorded as done"
    else:
        yield f"  {_day(one.day)}{slot}, {one.place}, with {one.with_whom}"
    if one.changed:
        yield f"  The day was moved: {one.changed}"
    yield ""


def _foot(morning: Morning, site: str) -> Iterator[str]:
    yield f"All of it, with one click to do it: {site}/"
    roles = ", ".join(morning.roles)
    yield f"You get this letter as {roles}." if roles else "You get this letter as a named person."
    if morning.hour is not None:
        yield (
            f"It comes once a day, from {morning.hour:02d}:00 in the zone {morning.zone}. "
            "The steward can change the hour or the zone."
        )
    yield "Showrest records and reminds. A conservator decides."


def _day(day: date) -> str:
    return f"{day:%A} {day.day} {day:%B} {day.year}"


def _distance(due_on: date, day: date) -> str:
    days = (due_on - day).days
    if days < 0:
        return f"was due on {_day(due_on)}, {-days} day{'s' if days != -1 else ''} ago"
    if days == 0:
        return "due today"
    return f"due on {_day(due_on)}, in {days} day{'s' if days != 1 else ''}"
