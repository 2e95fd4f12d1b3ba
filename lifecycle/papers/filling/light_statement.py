"""Rows to the words of the light statement of an object."""

from collections.abc import Iterator
from datetime import datetime
from decimal import ROUND_HALF_UP, Decimal

from lifecycle.papers.filling.block_o import WITH_OBJECT, House, block_o, day, figure, house
from lifecycle.papers.words.light_statement import (
    DayOfDose,
    FaceStatement,
    LightStatementWords,
    ShownWords,
    SpanWords,
)
from lifecycle.planning.account import Line
from lifecycle.planning.course import course_of
from lifecycle.planning.day_words import day_words
from lifecycle.planning.exposure import Stay
from lifecycle.planning.moments import local_day
from lifecycle.planning.quantities import UNITS_PER_LX_H, Band, lux_of, whole_lx_h
from lifecycle.process.cautions import CautionFor
from lifecycle.queries.light.accounts import LuxHours
from lifecycle.queries.light.statement import (
    REFERENCE_DAYS,
    REFERENCE_LUX,
    FaceOnStatement,
    Statement,
    in_stay,
    statement_of,
)
from lifecycle.records.models import MuseumObject

MOST_EVENTS = 24


def light_statement_words(thing: MuseumObject, at: datetime) -> LightStatementWords:
    """Its words, in a fixed number of queries. ValueError while the object has no face."""
    of_house = house()
    thing = (
        MuseumObject.objects.select_related(*WITH_OBJECT)
        .prefetch_related("hazards")
        .get(pk=thing.pk)
    )
    found = statement_of(thing, at)
    if not found.faces:
        raise ValueError(
            f"{thing.object_number} has no face: name its sides before their light is stated."
        )
    return LightStatementWords(
        institution=of_house.name,
        about=block_o(thing, of_house=of_house, activity=CautionFor.READ_LIGHT, only=("Always",)),
        passes_through="Light passes through: whenever one face is shown, all are charged."
        if thing.light_passes_through
        else "",
        faces=tuple(_face(one, found, of_house) for one in found.faces),
    )


def _face(one: FaceOnStatement, found: Statement, of_house: House) -> FaceStatement:
    account = one.account.account
    limits = account.inputs.limits
    return FaceStatement(
        label=one.face.label,
        rule="no house rule"
        if limits is None
        else f"{limits.name}: at most {limits.max_lux} lx; {limits.source or 'no source stated'}",
        missing=tuple(row.text for row in account.missing),
        allowance=one.account.allowance,
        sums=tuple(_sums(one)),
        shown=tuple(_shown(line, found) for line in account.lines if line.kind == "display"),
        other=tuple(_other(line) for line in account.lines if line.kind != "display"),
        gaps=tuple(_gaps(one)),
        events=tuple(dict.fromkeys(_events(account.inputs.stays, of_house)))[:MOST_EVENTS],
        overrides=tuple(
            f"{of_house.moment(row.at)}, {row.by.full_name}, for {row.exhibition}: {row.reason} "
            f"Set aside: {row.what}"
            for row in found.overrides
        ),
        course=tuple(
            DayOfDose(day=point.day.isoformat(), lx_h=point.lx_h, promised=point.promised)
            for point in course_of(account.inputs)
        ),
        today=account.window_to.isoformat(),
        earliest=_earliest(one),
    )


def _sums(one: FaceOnStatement) -> Iterator[tuple[str, str]]:
    account = one.account
    allowance = account.allowance
    yield "Allowance", "no class set" if allowance is None else f"{allowance:,} lx·h"
    if account.window_from is not None:
        yield "Window", f"{day(account.window_from)} to {day(account.window_to)}"
    yield "Spent in the window", str(account.spent)
    yield "Booked", str(account.booked)
    yield "Left", "can't be said" if account.left is None else str(account.left)
    yield "For all time", str(account.lifetime)
    yield "Assumed or estimated", f"{account.account.assumed_percent} % of all light on record"
    rest = account.resting_until
    if account.up_now:
        yield "Resting until", "on display now"
    else:
        yield "Resting until", day(rest) if rest is not None else "not resting"


def _mean(line: Line) -> Decimal | None:
    """Mean illuminance of a display [lx]: its dose over its lit minutes."""
    if not line.lit_minutes:
        return None
    lux = Decimal(line.dose.likely) * 60 / UNITS_PER_LX_H / line.lit_minutes
    return lux.quantize(Decimal("0.1"), rounding=ROUND_HALF_UP)


def _shown(line: Line, found: Statement) -> ShownWords:
    stay = line.stay
    lit = [part for part in line.parts if part.lit_minutes]
    low = min((part.level.low for part in lit), default=0)
    high = max((part.level.high for part in lit), default=0)
    readings = 0 if stay is None else sum(
        1 for row in stay.position.readings if in_stay(row.at, stay)
    )  # fmt: skip
    uv = [] if stay is None else found.uv_in(stay)
    table = None if stay is None else stay.position.timetable
    place = "" if stay is None else stay.position.label
    source = "" if table is None else f"\n{table.source.replace('_', ' ')}"
    mean = _mean(line)
    return ShownWords(
        what="\n".join(part for part in (line.label, place) if part),
        days=_days(line),
        lit=f"{line.lit_hours:,g} h{source}\npublic {line.public_hours:,g} h",
        lux="none"
        if mean is None
        else f"{figure(mean)}\n{figure(lux_of(low))} to {figure(lux_of(high))}\n"
        f"{readings} reading{'' if readings == 1 else 's'}",
        uv=_uv(uv),
        dose=_dose(line.dose),
        basis=", ".join(dict.fromkeys(part.basis.label for part in lit)),
    )


def _uv(values: list[Decimal]) -> str:
    if not values:
        return "not read"
    low, high = min(values), max(values)
    return figure(low) if low == high else f"{figure(low)} to {figure(high)}"


def _other(line: Line) -> ShownWords:
    return ShownWords(
        what=line.label,
        days=_days(line),
        lit="",
        lux="",
        uv="",
        dose=_dose(line.dose) + ("" if line.charged else "\nnot charged"),
        basis="\n".join(part for part in (line.basis, line.source) if part),
    )


def _days(line: Line) -> str:
    if line.until == line.since:
        return day(line.since)
    until = "up now" if line.until is None else f"to {day(line.until)}"
    return f"{day(line.since)}\n{until}"


def _dose(dose: Band) -> str:
    band = LuxHours.of(dose)
    spread = f"\n{band.low:,} to {band.high:,}" if band.spread else ""
    return f"{band.likely:,}{spread}"


def _gaps(one: FaceOnStatement) -> Iterator[SpanWords]:
    zone = one.account.account.inputs.clock
    for line in one.account.lines:
        for part in line.parts:
            if part.assumed and part.dose.likely:
                first, last = local_day(part.start, zone), local_day(part.end - 1, zone)
                yield SpanWords(
                    since=first.isoformat(),
                    until=last.isoformat(),
                    how=f"{part.basis.label}, {figure(lux_of(part.level.likely), 'lx')}, "
                    f"{whole_lx_h(part.dose.likely):,} lx·h",
                )


def _events(stays: tuple[Stay, ...], of_house: House) -> Iterator[str]:
    for stay in stays:
        for row in stay.position.events:
            if in_stay(row.last, stay):
                when = of_house.moment(row.first)
                if row.last != row.first:
                    when = f"between {when} and {of_house.moment(row.last)}"
                yield f"{when}: {row.what}, {stay.position.label}"


def _earliest(one: FaceOnStatement) -> str:
    asked = f"For {REFERENCE_DAYS // 7} weeks at {REFERENCE_LUX} lx"
    if one.face.never_show:
        return f"Never: {one.face.never_show_reason}"
    if one.answer is None:
        return f"{asked}: can't be said while something is missing or no lit hours are known."
    if one.answer.first is None:
        return f"{asked}: on no day within reach. {one.answer.because}"
    return f"{asked}: from {day_words(one.answer.first)}. {one.answer.because}"
