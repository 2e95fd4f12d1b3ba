"""By when pictures, facsimiles and mounts are due: worked back from the day a face goes on show.

A period is one face on show. Whenever a face goes on show, every other face of the plan is hidden,
and its facsimile is due in the case: those of the later faces at the opening, that of the first
face at the turn. Days are house rules; working days are those of ``working_days``.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from lifecycle.planning.counting import counted
from lifecycle.process.days import day_words
from lifecycle.process.facts.showing import Rules
from lifecycle.process.offsets import TURN_FACSIMILE, TURN_MOUNT
from lifecycle.process.working_days import days_back, working_days_before


@dataclass(frozen=True, slots=True, kw_only=True)
class Lead:
    """How long things take: days of the readiness gates, and working days of a facsimile."""

    imaging_days: int = 35
    facsimile_days: int = 14
    mount_days: int = 21
    turn_facsimile_days: int = TURN_FACSIMILE.days
    turn_mount_days: int = TURN_MOUNT.days
    print_days: int = 15
    proof_days: int = 10
    working: frozenset[str] = frozenset()
    """Codes of these days that the house counts in working days."""

    days_off: frozenset[date] = frozenset()

    def back(self, code: str, end: date, days: int) -> date:
        return days_back(end, days, working=code in self.working, off=self.days_off)


def lead_of(rules: Rules, *, imaging: int, facsimile: int, mount: int) -> Lead:
    """Return how long things take under these rules, with the days of their readiness gates."""
    return Lead(
        imaging_days=imaging,
        facsimile_days=facsimile,
        mount_days=mount,
        turn_facsimile_days=TURN_FACSIMILE.days_in(rules),
        turn_mount_days=TURN_MOUNT.days_in(rules),
        print_days=rules.print_days,
        proof_days=rules.proof_days,
        working=rules.working,
        days_off=rules.days_off,
    )


@dataclass(frozen=True, slots=True)
class Period:
    """One face on show from a day on; the day is None while no turn is planned or asked for."""

    face_id: int
    label: str
    from_on: date | None
    first: bool


@dataclass(frozen=True, slots=True)
class Hidden:
    """A face that is hidden while another is on show."""

    face_id: int
    label: str
    shown: str
    from_on: date | None
    first: bool


@dataclass(frozen=True, slots=True)
class Due:
    """A day and the sentence that says how it comes about; no day while it can't be worked out."""

    on: date | None
    because: str


def periods_of(
    faces: Sequence[tuple[int, str]],
    *,
    opens: date,
    turns: Mapping[int, date],
    wanted: Mapping[int, date],
) -> tuple[Period, ...]:
    """Return the faces in the order in which they go on show.

    A later face that is asked for from the opening on has no day of its own before its turn is
    planned.

    :param faces: (face id, label) in the order of the plan
    :param opens: the day of the install, planned or asked for
    :param turns: the day of the planned turn to a face, by its id; goes before ``wanted``
    :param wanted: the day from which the request asks for a face
    """
    found = []
    for at, (face_id, label) in enumerate(faces):
        asked = wanted.get(face_id)
        later = turns.get(face_id) or (asked if asked is not None and asked > opens else None)
        day = opens if at == 0 else later
        found.append(Period(face_id, label, day, first=at == 0))
    return tuple(found)


def hidden_in(periods: Sequence[Period]) -> Iterator[Hidden]:
    """Yield, for each period, every other face: each is hidden then and stands in as facsimile.

    >>> two = periods_of([(1, "A"), (2, "B")], opens=date(2026, 3, 14), turns={}, wanted={})
    >>> [(one.label, one.shown) for one in hidden_in(two)]
    [('B', 'A'), ('A', 'B')]
    """
    for period in periods:
        for other in periods:
            if other.face_id != period.face_id:
                yield Hidden(other.face_id, other.label, period.label, period.from_on, period.first)


def facsimile_due(face_id: int, periods: Sequence[Period], lead: Lead) -> Due:
    """By when the facsimile of a face is delivered: before the first period that hides it."""
    hidden = next((one for one in hidden_in(periods) if one.face_id == face_id), None)
    if hidden is None:
        return Due(None, "No other face is planned, so this one is never hidden.")
    return hidden_due(hidden, lead)


def hidden_due(hidden: Hidden, lead: Lead) -> Due:
    """By when a facsimile is delivered for one period in which its face is hidden."""
    if hidden.from_on is None:
        return Due(None, f"Due when {hidden.shown} goes on show; no day is set for that turn yet.")
    days = lead.facsimile_days if hidden.first else lead.turn_facsimile_days
    day = lead.back("G7" if hidden.first else TURN_FACSIMILE.code, hidden.from_on, days)
    return Due(
        day,
        f"{hidden.shown} goes on show on {day_words(hidden.from_on)} and hides {hidden.label}; "
        f"its facsimile is there {counted(days, 'day')} before.",
    )


def mount_due(face_ids: Sequence[int], periods: Sequence[Period], lead: Lead) -> Due:
    """By when a mount is fitted: before the earliest of its faces goes on show."""
    mine = [one for one in periods if one.face_id in face_ids]
    dated = [(one.from_on, one) for one in mine if one.from_on is not None]
    if not mine:
        return Due(None, "None of its faces stands in the plan.")
    if not dated:
        names = " and ".join(one.label for one in mine)
        return Due(None, f"Due before the turn to {names}; no day is set for it yet.")
    day, first = min(dated, key=lambda pair: pair[0])
    days = lead.mount_days if first.first else lead.turn_mount_days
    what = "is installed" if first.first else "is turned to"
    return Due(
        lead.back("G8" if first.first else TURN_MOUNT.code, day, days),
        f"{first.label} {what} on {day_words(day)}; the fit is checked "
        f"{counted(days, 'day')} before.",
    )


def master_due(face_id: int, periods: Sequence[Period], lead: Lead) -> Due:
    """By when the master picture of a facsimile is delivered: placing less print and proof."""
    hidden = next((one for one in hidden_in(periods) if one.face_id == face_id), None)
    if hidden is None or hidden.from_on is None:
        return Due(None, facsimile_due(face_id, periods, lead).because)
    day = working_days_before(hidden.from_on, lead.print_days + lead.proof_days, lead.days_off)
    return Due(
        day,
        f"The facsimile of {hidden.label} is placed on {day_words(hidden.from_on)}; "
        f"{lead.print_days} working days to print it and {lead.proof_days} for its proof.",
    )


def pictures_due(periods: Sequence[Period], lead: Lead) -> Due:
    """By when other pictures are delivered: with the readiness gate of imaging."""
    opens = next((one.from_on for one in periods if one.first), None)
    if opens is None:
        return Due(None, "No face is planned yet.")
    return Due(
        lead.back("G6", opens, lead.imaging_days),
        f"Installed on {day_words(opens)}; pictures are there "
        f"{counted(lead.imaging_days, 'day')} before.",
    )
