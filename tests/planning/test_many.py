"""Very many faces at once in arrays: the same figures, to the unit, as one by one."""

from dataclasses import fields, replace
from datetime import UTC, date, datetime, timedelta
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from lifecycle.planning.account import account_of
from lifecycle.planning.exposure import Slice, Stay
from lifecycle.planning.last_day import Caps, last_day
from lifecycle.planning.ledger import Entry, EntryKind, FaceInputs, Plan
from lifecycle.planning.logged import Logged
from lifecycle.planning.many import Many
from lifecycle.planning.moments import minute_of
from lifecycle.planning.quantities import Band, level_of, units_of
from tests.planning.museum import CLOSES, HIGH, at, face, place, reading
from tests.planning.test_walk import as_position, cases
from tests.planning.walk import Case

MONTHLY = tuple(reading(48, 2026, month, 14) for month in range(3, 10))
SHOWN = Stay(
    position=place(*MONTHLY), since=at(2026, 3, 14), until=at(2026, 9, 7), label="R", ref="RQ-1"
)
UP = replace(SHOWN, until=None, planned_until=at(2026, 9, 7))
JUNE = at(2026, 6, 8)


def same(inputs: list[FaceInputs], ends: list[date]) -> None:
    """Hold every figure to the account and the last day of each face by itself."""
    for one, end, found in zip(inputs, ends, Many(inputs, ends).sums(), strict=True):
        account = account_of(one)
        assert found.spent == account.spent
        assert found.booked == account.booked
        assert found.lifetime == account.lifetime
        assert found.left == account.left
        answer = last_day(one, Caps(planned_end=end))
        by_account = [row.day for row in answer.limits if row.code == "account"] if answer else []
        assert found.last_day == (by_account[0] if by_account else None)


def lump(lx_h: int, year: int, kind: EntryKind = EntryKind.ESTIMATE) -> Entry:
    return Entry(
        kind=kind,
        since=at(year, 5, 1),
        until=at(year, 6, 1),
        dose=Band(units_of(lx_h // 2), units_of(lx_h), units_of(lx_h * 2)),
    )


def test_shown_up_planned_estimated_and_unknown_faces_come_out_as_one_by_one() -> None:
    plan = Plan(position=place(), since=at(2027, 1, 1), until=at(2027, 3, 1), level=level_of(50))
    tight = replace(HIGH, allowance_lx_h=33_000)
    rows = [
        face(JUNE, UP),
        face(at(2026, 9, 20), SHOWN),
        face(JUNE, UP, limits=tight),
        face(JUNE, UP, limits=replace(HIGH, allowance_lx_h=1_000)),
        face(JUNE, plans=(plan,), entries=(lump(10_000, 2024), lump(400, 2025))),
        face(JUNE, UP, entries=(lump(30_000, 2021), lump(12_000, 2023)), plans=(plan,)),
        face(JUNE, UP, limits=None),
        face(JUNE, replace(UP, position=place(*MONTHLY, timetable=None))),
        face(JUNE, replace(UP, position=place())),
        face(JUNE),
        face(at(2026, 3, 14), replace(UP, planned_until=None)),
    ]
    same(rows, [CLOSES] * len(rows))


def test_light_that_leaves_the_window_gives_days_back() -> None:
    # 30,000 lx·h of May 2021 leave the window on 1 June 2026, while the face is up.
    early = replace(UP, since=at(2026, 4, 1))
    inputs = face(at(2026, 4, 20), early, entries=(lump(50_000, 2021),))
    tight = replace(inputs, limits=replace(HIGH, allowance_lx_h=52_000))
    same([inputs, tight], [CLOSES, CLOSES])
    answer = last_day(tight, Caps(planned_end=CLOSES))
    assert answer is not None
    assert answer.day is not None
    assert answer.day < date(2026, 6, 1)


@st.composite
def faces(draw: st.DrawFn) -> list[FaceInputs]:
    found = []
    for _ in range(draw(st.integers(1, 3))):
        case, origin, since, until = draw(cases())
        found.append(drawn(case, origin, since, until, draw(st.booleans()), draw))
    return found


def drawn(case: Case, origin: datetime, since: int, until: int, up: bool, draw: Any) -> FaceInputs:
    now = origin + timedelta(minutes=until)
    stay = Stay(
        position=as_position(case, origin),
        since=origin + timedelta(minutes=since),
        until=None if up else now,
        planned_until=now + timedelta(draw(st.integers(0, 30))) if up else None,
        ref="r",
    )
    limits = replace(
        HIGH,
        allowance_lx_h=draw(st.integers(0, 4_000)),
        window_years=draw(st.integers(1, 3)),
        max_lux=draw(st.integers(1, 200)),
    )
    return FaceInputs(face="f", zone=case.zone, at=now, limits=limits, stays=(stay,))


@settings(max_examples=8)
@given(faces())
def test_random_faces_in_random_zones_come_out_as_one_by_one(rows: list[FaceInputs]) -> None:
    same(rows, [row.at.astimezone(UTC).date() for row in rows])


def test_the_arrays_know_everything_a_slice_can_say() -> None:
    """What a slice is given later, the arrays must be taught, or the list of all accounts errs."""
    assert {row.name for row in fields(Slice)} == {
        "start", "end", "levels", "basis", "logged",
    }  # fmt: skip


def test_logged_light_comes_out_as_one_by_one() -> None:
    start = minute_of(at(2026, 3, 20)) + 37
    log = Logged(tuple((start + 15 * n, 20 * (n % 97)) for n in range(3_000)), 15)
    logged = replace(SHOWN.position, logged=(log,))
    rows = [
        face(JUNE, replace(UP, position=logged)),
        face(at(2026, 9, 20), replace(SHOWN, position=logged)),
        face(JUNE, replace(UP, position=logged), limits=replace(HIGH, allowance_lx_h=33_000)),
        face(at(2031, 4, 2), replace(SHOWN, position=logged)),  # the window cuts the log
    ]
    assert account_of(rows[0]).lifetime != account_of(face(JUNE, UP)).lifetime
    same(rows, [date(2026, 9, 6)] * 4)


def test_no_face_is_no_trouble() -> None:
    assert Many([]).sums() == []
