"""When may this face be shown again? The earliest start of an asked span, and what binds it.

For every day of the asked span the rolling window must stay within the allowance, the rest since
the last showing must be long enough, nothing else may be booked, and the longest showing of the
class holds. Accepted later showings count: their windows and their rest are tested again with the
asked showing in place. The day exactly N years back counts no more.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Final

from lifecycle.planning.account import Missing, missing_of
from lifecycle.planning.counting import counted
from lifecycle.planning.day_words import day_words
from lifecycle.planning.days import DaySums, day_sums
from lifecycle.planning.ledger import ClassLimits, FaceInputs, ledger_of
from lifecycle.planning.levels import Position
from lifecycle.planning.lit_hours import LitCurve, curve_of
from lifecycle.planning.moments import add_months, local_day, window_first_day
from lifecycle.planning.quantities import LEVELS_PER_LX, Band, whole_lx_h

HORIZON_YEARS: Final = 40
DAY: Final = timedelta(1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Booking:
    """The object is promised elsewhere, first and last day included (travel days counted in)."""

    first: date
    last: date
    label: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """The span asked for: ``days`` days from ``first`` at a place and level [half deci-lux]."""

    position: Position
    first: date
    days: int
    level: int
    max_weeks: int | None = None
    bookings: tuple[Booking, ...] = ()
    pending: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if self.days < 1:
            raise ValueError("A showing is asked for at least one day.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Binding:
    """The rule that decides, with the figures it was decided by (doses in whole lx·h)."""

    code: str
    text: str
    day: date | None = None
    window_from: date | None = None
    sum_lx_h: int | None = None
    allowance_lx_h: int | None = None
    next_start: date | None = None
    """First start that this rule does not forbid by itself."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NextAllowed:
    """The answer to one asked span; ``first`` is None when no day within the horizon serves."""

    inputs: FaceInputs
    asked: Asked
    first: date | None
    binding: Binding | None
    tightest: Binding | None
    dose: Band
    missing: tuple[Missing, ...]
    offers: tuple[str, ...]
    because: str

    @property
    def figures(self) -> dict[str, str | int | None]:
        """What is kept beside the inputs, so that computing it again can be held to it.

        Figures, not sentences: those may be worded otherwise years later.
        """
        return {
            "first": None if self.first is None else self.first.isoformat(),
            "binding": "" if self.binding is None else self.binding.code,
            "dose": self.dose.likely,
            "fullest_lx_h": None if self.tightest is None else self.tightest.sum_lx_h,
        }

    @property
    def as_asked(self) -> bool:
        """Whether the span may start on the very day that was asked."""
        return self.first == self.asked.first


class _Search:
    """The asked span tried on one start day after another."""

    def __init__(
        self, inputs: FaceInputs, asked: Asked, limits: ClassLimits, curve: LitCurve
    ) -> None:
        self.asked, self.limits, self.curve = asked, limits, curve
        self.sums: DaySums = day_sums(inputs)
        ledger = ledger_of(inputs)
        self.displays = sorted(
            (local_day(start, ledger.zone), local_day(end - 1, ledger.zone))
            for start, end in ledger.displays()
        )
        self.cover = curve.timetable.cover_percent
        self._origin = asked.first
        self._lit = [0]

    def lit_before(self, day: date) -> int:
        """Return the asked place's lit minutes from the first asked day to before ``day``."""
        index = (day - self._origin).days
        while len(self._lit) <= index:
            next_day = self._origin + timedelta(len(self._lit) - 1)
            self._lit.append(self._lit[-1] + sum(self.curve.day(next_day).values()))
        return self._lit[index]

    def asked_lit(self, since: date, until: date) -> int:
        return 0 if until <= since else self.lit_before(until) - self.lit_before(since)

    def window_on(self, day: date, start: date, level: int | None = None) -> int:
        """Return the window's sum on ``day`` if the asked span starts on ``start`` [units]."""
        first = window_first_day(day, self.limits.window_years)
        end = start + timedelta(self.asked.days)
        lit = self.asked_lit(max(start, first), min(day + DAY, end))
        level = self.asked.level if level is None else level
        return self.sums.window(day, self.limits.window_years) + lit * level * self.cover

    def days_to_test(self, start: date, days: int) -> Iterator[date]:
        """Yield the last day first: it is where the window is fullest most of the time."""
        last = start + timedelta(days - 1)
        yield last
        yield from (start + timedelta(n) for n in range(days - 1))
        yield from self.sums.days_from(last + DAY)

    def crowded(self, start: date) -> Binding | None:
        """Return why the span can't start on ``start`` because of other showings."""
        last = start + timedelta(self.asked.days - 1)
        for booking in self.asked.bookings:
            if booking.first <= last and start <= booking.last:
                text = (
                    f"It is booked for {booking.label} from {day_words(booking.first)} to "
                    f"{day_words(booking.last)}."
                )
                return Binding(
                    code="booking", text=text, day=booking.last, next_start=booking.last + DAY
                )
        rest = self.limits.rest_months
        for first, end in self.displays:
            if first <= last and start <= end:
                text = f"It is on display from {day_words(first)} to {day_words(end)}."
                return Binding(code="booking", text=text, day=end, next_start=end + DAY)
            if not rest:
                continue
            rested = add_months(end, rest)
            if end < start <= rested:
                text = (
                    f"Its last day in the light before that is {day_words(end)}; "
                    f"{self.limits.name} asks at least {rest} months' rest, to "
                    f"{day_words(rested)} inclusive."
                )
                return Binding(code="rest", text=text, day=rested, next_start=rested + DAY)
            if last < first <= add_months(last, rest):
                text = (
                    f"It is promised from {day_words(first)}; {self.limits.name} asks at least "
                    f"{rest} months' rest before that."
                )
                return Binding(code="rest", text=text, day=first, next_start=end + DAY)
        return None

    def fullest(self, start: date, days: int | None = None) -> tuple[date, int]:
        """Return the day with the fullest window and its sum; stops at the first that overflows."""
        worst_day, worst = start, -1
        for day in self.days_to_test(start, self.asked.days if days is None else days):
            total = self.window_on(day, start)
            if total > worst:
                worst_day, worst = day, total
            if worst > self.limits.allowance:
                break
        return worst_day, worst

    def by_window(self, day: date, total: int) -> Binding:
        first = window_first_day(day, self.limits.window_years)
        text = (
            f"On {day_words(day)} the window from {day_words(first)} would hold "
            f"{whole_lx_h(total):,} lx·h; {self.limits.name} allows "
            f"{self.limits.allowance_lx_h:,} lx·h in {counted(self.limits.window_years, 'year')}."
        )
        return Binding(
            code="allowance",
            text=text,
            day=day,
            window_from=first,
            sum_lx_h=whole_lx_h(total),
            allowance_lx_h=self.limits.allowance_lx_h,
        )

    def alone(self, start: date) -> int:
        """Return the asked span's own dose within the window of its last day."""
        end = start + timedelta(self.asked.days)
        first = window_first_day(end - DAY, self.limits.window_years)
        return self.asked_lit(max(start, first), end) * self.asked.level * self.cover


def next_allowed(inputs: FaceInputs, asked: Asked) -> NextAllowed:
    """Return the earliest start, not before ``asked.first``, on which the span may be shown."""
    missing = list(missing_of(inputs))
    table, limits = asked.position.timetable, inputs.limits
    if table is None:
        text = f"{asked.position.label} has no lit timetable: give it, or a place above it, one."
        if all(row.text != text for row in missing):
            missing.append(Missing("light.timetable", text))
    if limits is None or table is None or missing:
        text = "No date can be given. " + " ".join(row.text for row in missing)
        return _answer(inputs, asked, None, Binding(code="missing", text=text), missing=missing)
    if limits.never_show:
        text = f"{limits.name}: facsimile only, the original is not shown."
        return _answer(inputs, asked, None, Binding(code="never", text=text))
    if asked.pending:
        return _answer(inputs, asked, None, Binding(code="pending", text=" ".join(asked.pending)))
    weeks = min((w for w in (limits.max_weeks, asked.max_weeks) if w is not None), default=None)
    if weeks is not None and asked.days > 7 * weeks:
        most = counted(weeks, "week")
        text = f"{limits.name} allows at most {most} a time; {asked.days} days were asked."
        offers = (f"At most {most} ({7 * weeks} days).",)
        return _answer(inputs, asked, None, Binding(code="weeks", text=text), offers=offers)
    search = _Search(inputs, asked, limits, curve_of(table, inputs.clock))
    return _search(inputs, asked, search)


def _search(inputs: FaceInputs, asked: Asked, search: _Search) -> NextAllowed:
    allowance = search.limits.allowance
    last_start = add_months(asked.first, 12 * HORIZON_YEARS)
    start, binding, too_much_since = asked.first, None, None
    first_refusal: Binding | None = None
    while start <= last_start:
        found = search.crowded(start)
        if found is None:
            day, total = search.fullest(start)
            if total <= allowance:
                tightest = search.by_window(day, total)
                offers = () if start == asked.first else _offers(search, first_refusal)
                return _answer(
                    inputs, asked, start, binding, tightest=tightest, offers=offers, search=search
                )
            found = search.by_window(day, total)
            if search.alone(start) > allowance:
                too_much_since = too_much_since or start
                if start - too_much_since >= timedelta(366):
                    text = (
                        f"The asked span alone would charge {whole_lx_h(search.alone(start)):,} "
                        f"lx·h in one window; {search.limits.name} allows "
                        f"{search.limits.allowance_lx_h:,} lx·h."
                    )
                    found = replace(found, code="too_much", text=text)
                    offers = _offers(search, first_refusal)
                    return _answer(inputs, asked, None, found, offers=offers, search=search)
            else:
                too_much_since = None
        first_refusal = first_refusal or found
        binding, start = found, found.next_start or start + DAY
    return _answer(inputs, asked, None, binding, search=search)


def _offers(search: _Search, refusal: Binding | None) -> tuple[str, ...]:
    """Return what could be shown from the asked day on: a shorter showing, or a dimmer one."""
    if refusal is None or refusal.code not in ("allowance", "too_much"):
        return ()
    asked, start, allowance = search.asked, search.asked.first, search.limits.allowance
    offers = []
    low, high = 0, asked.days
    while low < high:
        middle = (low + high + 1) // 2
        shorter = replace(asked, days=middle)
        search.asked = shorter
        fits = search.fullest(start)[1] <= allowance
        low, high = (middle, high) if fits else (low, middle - 1)
    search.asked = asked
    if low:
        offers.append(f"Shorter: {counted(low, 'day')} from {day_words(start)} at the same light.")
    level = affordable_level(search, start)
    if level >= LEVELS_PER_LX:
        lux = level // 2 / 10
        offers.append(
            f"Dimmer: {lux:g} lx from {day_words(start)} for all {counted(asked.days, 'day')}."
        )
    return tuple(offers)


def affordable_level(search: _Search, start: date) -> int:
    """Return the highest level, in whole tenths of a lux, at which the asked span fits."""
    best = search.asked.level
    for day in search.days_to_test(start, search.asked.days):
        without = search.window_on(day, start, level=0)
        lit = search.window_on(day, start, level=1) - without
        if lit:
            best = min(best, max(0, search.limits.allowance - without) // lit)
        elif without > search.limits.allowance:
            return 0
    return best // 2 * 2


def _answer(
    inputs: FaceInputs,
    asked: Asked,
    first: date | None,
    binding: Binding | None,
    *,
    tightest: Binding | None = None,
    missing: Sequence[Missing] = (),
    offers: tuple[str, ...] = (),
    search: _Search | None = None,
) -> NextAllowed:
    dose = Band()
    if search is not None:
        start = first or asked.first
        lit = search.asked_lit(start, start + timedelta(asked.days))
        dose = Band.sure(lit * asked.level * search.cover)
    if first is None:
        because = "No, not to be shown as asked. " + ("" if binding is None else binding.text)
    elif binding is None:
        because = f"Yes, allowed from {day_words(first)} as asked."
    else:
        because = f"No, not before {day_words(first)}, because {binding.text[:1].lower()}"
        because += binding.text[1:]
    if first is not None and tightest is not None:
        because += f" Fullest window with it: {tightest.sum_lx_h:,} lx·h on {_on(tightest)}."
    return NextAllowed(
        inputs=inputs,
        asked=asked,
        first=first,
        binding=binding,
        tightest=tightest,
        dose=dose,
        missing=tuple(missing),
        offers=offers,
        because=because.strip(),
    )


def _on(binding: Binding) -> str:
    return "" if binding.day is None else day_words(binding.day)
