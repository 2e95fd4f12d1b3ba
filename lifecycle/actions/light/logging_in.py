"""Bring a logger's file in: the file, its columns, unit and clock, then the person's go-ahead.

Nothing is written into the light record before the go-ahead; the worker then keeps the whole file
as one row or nothing. What was brought in can be taken back.
"""

import hashlib
import uuid
from collections.abc import Iterator, Mapping
from dataclasses import asdict
from datetime import datetime
from typing import Any, Final

from django.core.files.storage import default_storage
from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.actions.work import rows
from lifecycle.exchange.kept_files import keep_file
from lifecycle.exchange.light_log import Reading, Series, clock_of, read_lines, suggest
from lifecycle.exchange.tables.reading import read_table
from lifecycle.exchange.tables.table import Table, UnreadableTable
from lifecycle.planning.logged import usual_interval
from lifecycle.planning.moments import moment_of
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.queries.clock import museum_zone
from lifecycle.queries.light.logs import doubts_of, logs_between
from lifecycle.queries.rights import museum_day, place_chain
from lifecycle.queries.signed_text.lines import moment_in_words
from lifecycle.records.models import (
    Instrument,
    LightLog,
    LightLogTakenBack,
    LoggedUnit,
    Person,
    Place,
    ReadingPoint,
)
from lifecycle.records.models.light import InstrumentKind
from lifecycle.records.models.work import Work, WorkKind, WorkState

LOGGING: Final = frozenset({InstrumentKind.LOGGER, InstrumentKind.LUX, InstrumentKind.LUX_AND_UV})
LONGEST_INTERVAL: Final = 24 * 60
NAME_LENGTH: Final = 120


@transaction.atomic
def bring_log(
    *, by: Person, role: Role, at: datetime, place: Place, data: bytes, name: str
) -> Work:
    """Keep the file and suggest which column is which.

    :raises Refused: beside ``file``, when it can't be read as a table
    """
    allow(by=by, role=role, deed=Deed.EXAMINE, at=at)
    table = _read(data, name)
    digest = hashlib.sha256(data).hexdigest()
    path = f"tables/{digest[:2]}/{digest}"
    keep_file(path, data)
    inputs = {
        "file": path,
        "sha256": digest,
        "name": "".join(one for one in name if one.isprintable())[-NAME_LENGTH:],
        "role": role.value,
        "place": str(place.uid),
        "headings": list(table.headings),
        "suggested": suggest(table),
        "chosen": None,
    }
    key = f"light/{uuid.uuid4()}"
    return rows.prepare(kind=WorkKind.IMPORT_LIGHT_LOG, key=key, by=by, at=at, inputs=inputs)


def _read(data: bytes, name: str) -> Table:
    try:
        table = read_table(data, name)
    except UnreadableTable as bad:
        raise Refused(Reason(str(bad), "file")) from bad
    if len(table.lines) < 2:
        raise Refused(Reason(f"“{name}” has no two lines below its headings.", "file"))
    return table


def table_of(work: Work) -> Table:
    """Read the kept file again."""
    with default_storage.open(work.inputs["file"]) as kept:
        return _read(kept.read(), work.inputs["name"])


def reading_of(work: Work) -> Reading:
    """Return which column is which, in which unit and by which clock, as it was chosen."""
    return Reading(**work.inputs["chosen"]["reading"])


def series_of(work: Work, table: Table) -> Series:
    """Read every line of the kept file as it was chosen."""
    series = Series()
    read_lines(table.lines, reading_of(work), series)
    return series


def _prepared(uid: uuid.UUID, *, by: Person, role: Role, at: datetime) -> Work:
    allow(by=by, role=role, deed=Deed.EXAMINE, at=at)
    work = Work.objects.select_for_update().get(uid=uid, kind=WorkKind.IMPORT_LIGHT_LOG)
    if work.state != WorkState.PREPARING:
        raise Refused("This file was handed on or put aside already; bring it again to change it.")
    return work


@transaction.atomic
def choose_reading(
    *,
    by: Person,
    role: Role,
    at: datetime,
    uid: uuid.UUID,
    how: Reading,
    instrument: Instrument | None,
    point: ReadingPoint | None = None,
) -> Work:
    """Say which column is which, the unit, the clock and the instrument; nothing is written yet.

    :raises Refused: beside each field: a column twice, no such unit or clock, no logger named, a
        point of another place
    """
    work = _prepared(uid, by=by, role=role, at=at)
    place = Place.objects.get(uid=work.inputs["place"])
    if reasons := list(_choice_faults(work, place, how, instrument, point)):
        raise Refused(reasons)
    chosen = {
        "reading": asdict(how),
        "instrument": None if instrument is None else str(instrument.uid),
        "point": None if point is None else str(point.uid),
    }
    work.inputs = {**work.inputs, "chosen": chosen}
    work.save(update_fields=["inputs"])
    return work


def _choice_faults(
    work: Work,
    place: Place,
    how: Reading,
    instrument: Instrument | None,
    point: ReadingPoint | None,
) -> Iterator[Reason]:
    headings = work.inputs["headings"]
    taken: dict[int, str] = {}
    for field in ("moment", "lux", "clock", "uv"):
        column = getattr(how, field)
        if column is None:
            continue
        if not 0 <= column < len(headings):
            yield Reason("The file has no such column.", field)
        elif column in taken:
            yield Reason(f"“{headings[column]}” is taken as {taken[column]} already.", field)
        taken.setdefault(column, {"moment": "the day", "lux": "the light"}.get(field, "another"))
    if how.unit not in {unit.value for unit in LoggedUnit}:
        yield Reason("Say in which unit the file writes light.", "unit")
    try:
        clock_of(how.zone)
    except ValueError as bad:
        yield Reason(str(bad), "zone")
    if instrument is None or instrument.kind not in LOGGING:
        yield Reason("Name the instrument that logged: a logger or a lux meter.", "instrument")
    if point is not None and point.place_id not in place_chain(place):
        yield Reason(f"Point {point.letter} belongs to another place.", "point")


@transaction.atomic
def go_ahead(*, by: Person, role: Role, at: datetime, uid: uuid.UUID, sure: bool = False) -> Work:
    """Hand the file to the worker; what looks wrong of unit or clock is asked about once.

    :raises Refused: while nothing is chosen, no two lines can be read, another log speaks for the
        same time, or something looks wrong and nobody has said it is right
    """
    work = _prepared(uid, by=by, role=role, at=at)
    if work.inputs["chosen"] is None:
        raise Refused("Say first which column is which.")
    place = Place.objects.get(uid=work.inputs["place"])
    series = series_of(work, table_of(work))
    if reasons := list(series_faults(series, place, at)):
        raise Refused(reasons)
    doubts = doubts_of(series.levels, place, at)
    if doubts and not sure:
        raise Refused(
            [Reason(doubt, "sure", "log.odd") for doubt in doubts]
            + [Reason("Look again; if it is right, say so and it is kept and marked.", "sure")]
        )
    work.inputs = {**work.inputs, "role": role.value, "confirmed": " ".join(doubts)[:300]}
    work.asked_by = by
    work.save(update_fields=["inputs", "asked_by"])
    rows.start(work=work, at=at)
    return work


def series_faults(series: Series, place: Place, at: datetime) -> Iterator[Reason]:
    """Yield what keeps a series as a whole from being kept."""
    if len(series.samples) < 2:
        yield Reason("No two lines can be read this way: look at the reasons beside them.")
        return
    zone = museum_zone()
    first = moment_of(series.samples[0][0], zone)
    last = moment_of(series.samples[-1][0], zone)
    if last > at:
        text = f"The last sample is of {moment_in_words(last)}, still to come: check the clock."
        yield Reason(text, "zone")
    if usual_interval([minute for minute, _, _ in series.samples]) > LONGEST_INTERVAL:
        yield Reason("Samples lie more than a day apart: that is no series but single readings.")
    for log in logs_between(place, first, last, at):
        yield Reason(
            f"{log.file_name} speaks for {moment_in_words(log.from_at)} to "
            f"{moment_in_words(log.until_at)} here already: take it back first, or bring only "
            "what is missing."
        )


@transaction.atomic
def put_aside(*, by: Person, role: Role, at: datetime, uid: uuid.UUID) -> Work:
    """Leave a file that is being prepared; nothing was written."""
    work = _prepared(uid, by=by, role=role, at=at)
    work.state, work.ended_at, work.doing = WorkState.STOPPED, at, "Put aside; nothing was written."
    work.save(update_fields=["state", "ended_at", "doing"])
    return work


@transaction.atomic
def keep_log(*, work: Work, series: Series, at: datetime) -> LightLog:
    """Write the series as one row; a second run of the same work finds it written.

    :raises Refused: if somebody brought another log of the same time in meanwhile
    """
    by, role = work.asked_by, Role(work.inputs["role"])
    if by is None:
        raise Refused("Nobody stands for this file.")
    allow(by=by, role=role, deed=Deed.EXAMINE, at=at)
    place = Place.objects.select_for_update().get(uid=work.inputs["place"])
    there = LightLog.objects.filter(work_uid=work.uid).first()
    if there is not None:
        return there
    if reasons := list(series_faults(series, place, at)):
        raise Refused(reasons)
    chosen: Mapping[str, Any] = work.inputs["chosen"]
    how = reading_of(work)
    instrument = Instrument.objects.get(uid=chosen["instrument"])
    point = ReadingPoint.objects.filter(uid=chosen["point"]).first() if chosen["point"] else None
    zone, samples = museum_zone(), series.samples
    start, until = samples[0][0], moment_of(samples[-1][0], zone)
    due = instrument.calibration_due
    return LightLog(
        place=place,
        point=point,
        instrument=instrument,
        file_name=work.inputs["name"],
        file_sha256=work.inputs["sha256"],
        unit=how.unit,
        zone=how.zone,
        interval_minutes=usual_interval([minute for minute, _, _ in samples]),
        from_at=moment_of(start, zone),
        until_at=until,
        samples=[
            [minute - start, lux] if uv is None else [minute - start, lux, uv]
            for minute, lux, uv in samples
        ],
        count=len(samples),
        left_out=series.left_out,
        confirmed_odd=work.inputs.get("confirmed", ""),
        meter_lapsed=due is not None and due < museum_day(until),
        work_uid=work.uid,
        entered_at=at,
        entered_by=by,
    ).append()


@transaction.atomic
def take_back_log(
    *, by: Person, role: Role, at: datetime, log: LightLog, why: str
) -> LightLogTakenBack:
    """Let a log count no more, with the reason; its samples stay readable.

    :raises Refused: without a reason, or if it is taken back already
    """
    allow(by=by, role=role, deed=Deed.EXAMINE, at=at)
    Place.objects.select_for_update().get(pk=log.place_id)
    reasons = []
    if LightLogTakenBack.objects.filter(log=log).exists():
        reasons.append(Reason("This log is taken back already."))
    if not why.strip():
        reasons.append(Reason("Say why it does not count.", "why"))
    if reasons:
        raise Refused(reasons)
    return LightLogTakenBack(log=log, why=why.strip()[:200], at=at, by=by).append()
