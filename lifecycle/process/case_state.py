"""How far a case is, line by line: built, cured, cleaned, buffer, lamps, proof run, layout.

Each line is worked out from what is on record with its day; none is ticked. Three weeks at least
for sealants and finishes to cure are common practice; a data sheet may say less, and is named then.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Final

from lifecycle.process.days import day_words
from lifecycle.process.minutes import before

CURE_DAYS: Final = 21


@dataclass(frozen=True, slots=True, kw_only=True)
class LampChange:
    """A lamp, and the last change that bears on the heat in the case's own air."""

    name: str
    place: str
    by: str
    at: datetime
    on: date

    @property
    def words(self) -> str:
        return f"lamp {self.name} of {self.place} was changed on {day_words(self.on)} ({self.by})"


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseState:
    """What is on record of one case made ready for one exhibition."""

    built_on: date | None = None
    built_by: str = ""
    cleaned_on: date | None = None
    cleaned_by: str = ""
    materials: str = ""
    """Sealants, paints, boards; nothing while nothing is named that cures."""

    cure_until: date | None = None
    cure_because: str = ""
    buffer: str = ""
    conditioned_on: date | None = None
    renew_by: date | None = None
    run_ended_at: datetime | None = None
    run_ended_on: date | None = None
    run_result: str = ""
    run_outside: bool = False
    warmed: LampChange | None = None
    lamps: int = 0
    lamps_changed_on: date | None = None
    without_lamps: bool = False
    layout: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseLine:
    """One line. ``mark`` is done, to_do, stopped or not_needed; ``field`` is where it is mended."""

    label: str
    mark: str
    text: str
    field: str
    code: str = ""

    @property
    def is_open(self) -> bool:
        return self.mark in ("to_do", "stopped")


def cures_until(case: CaseState) -> date | None:
    """Return the day until which materials cure: as it was typed, or three weeks after building.

    >>> cures_until(CaseState(built_on=date(2026, 2, 2), materials="Sealant"))
    datetime.date(2026, 2, 23)
    """
    if case.cure_until is not None or not case.materials or case.built_on is None:
        return case.cure_until
    return case.built_on + timedelta(days=CURE_DAYS)


def cures_too_short(case: CaseState) -> date | None:
    """Return the first day that would do, where less than three weeks stand without a reason."""
    if not case.materials or case.cure_because or None in (case.built_on, case.cure_until):
        return None
    least = cures_until(CaseState(built_on=case.built_on, materials=case.materials))
    short = least is not None and case.cure_until is not None and case.cure_until < least
    return least if short else None


def buffer_open(case: CaseState, today: date) -> str:
    """Say what the buffer still needs, or nothing."""
    if not case.buffer:
        return ""
    if case.conditioned_on is None:
        return f"the buffer ({case.buffer}) is not conditioned"
    if case.renew_by is not None and case.renew_by < today:
        return f"the buffer ({case.buffer}) was to be renewed by {day_words(case.renew_by)}"
    return ""


def lamp_since_run(case: CaseState) -> str:
    """Say which lamp gave the air of the case other heat after the proof run, or nothing."""
    if case.run_ended_at is None or case.warmed is None:
        return ""
    return case.warmed.words if before(case.run_ended_at, case.warmed.at) else ""


def case_lines(case: CaseState, today: date) -> tuple[CaseLine, ...]:
    """Return how far the case is, in the order in which it is made ready."""
    return tuple(_lines(case, today))


def _lines(case: CaseState, today: date) -> Iterator[CaseLine]:
    yield _done("Building finished", "construction_done_on", case.built_on, case.built_by)
    yield _cured(case, today)
    yield _done("Cleaned", "cleaned_on", case.cleaned_on, case.cleaned_by)
    yield _buffer(case, today)
    yield _lamps(case)
    yield _run(case)
    yield CaseLine(
        label="Layout",
        mark="done" if case.layout else "to_do",
        text=case.layout or "no drawing yet; it has to be found in an emergency",
        field="layout_file",
    )


def _done(label: str, field: str, on: date | None, by: str) -> CaseLine:
    if on is None:
        return CaseLine(label=label, mark="to_do", text="not yet", field=field)
    said = f"{day_words(on)}, {by}" if by else day_words(on)
    return CaseLine(label=label, mark="done", text=said, field=field)


def _cured(case: CaseState, today: date) -> CaseLine:
    until, label, field = cures_until(case), "Cured", "cure_until"
    if until is None:
        if case.materials:
            text = f"{CURE_DAYS} days from the end of building, which has no day yet"
            return CaseLine(label=label, mark="to_do", text=text, field=field, code="case.curing")
        return CaseLine(label=label, mark="not_needed", text="nothing named cures", field=field)
    waits = until > today
    how = case.cure_because if case.cure_until is not None else f"{CURE_DAYS} days after building"
    text = f"{'cures until' if waits else 'since'} {day_words(until)}{f', {how}' if how else ''}"
    mark = "to_do" if waits else "done"
    return CaseLine(label=label, mark=mark, text=text, field=field, code="case.curing")


def _buffer(case: CaseState, today: date) -> CaseLine:
    label, field = "Buffer", "buffer_conditioned_on"
    if not case.buffer:
        return CaseLine(label=label, mark="not_needed", text="none", field=field)
    if left := buffer_open(case, today):
        return CaseLine(label=label, mark="to_do", text=left, field=field, code="case.proof")
    renew = f", to be renewed by {day_words(case.renew_by)}" if case.renew_by else ""
    since = day_words(case.conditioned_on) if case.conditioned_on else ""
    return CaseLine(
        label=label, mark="done", text=f"{case.buffer}, conditioned {since}{renew}", field=field
    )


def _lamps(case: CaseState) -> CaseLine:
    label, field = "Lamps", "without_lamps"
    if case.lamps:
        since = day_words(case.lamps_changed_on) if case.lamps_changed_on else ""
        text = f"{case.lamps} on record, as they are since {since}"
        return CaseLine(label=label, mark="done", text=text, field=field)
    if case.without_lamps:
        return CaseLine(label=label, mark="not_needed", text="lit by daylight alone", field=field)
    return CaseLine(label=label, mark="to_do", text="none on record", field=field)


def _run(case: CaseState) -> CaseLine:
    label, field, code = "Climate proof run", "test_result", "case.proof"
    if not case.run_result:
        return CaseLine(label=label, mark="to_do", text="no result yet", field=field, code=code)
    if case.run_outside:
        text, field = "the air left its band: mend it and run it again", "test_outside"
        return CaseLine(label=label, mark="stopped", text=text, field=field, code=code)
    if since := lamp_since_run(case):
        text = f"{since}, after the run ended: run it again"
        return CaseLine(label=label, mark="stopped", text=text, field=field, code=code)
    on = f"ended {day_words(case.run_ended_on)}: " if case.run_ended_on else ""
    return CaseLine(label=label, mark="done", text=f"{on}{case.run_result}", field=field, code=code)
