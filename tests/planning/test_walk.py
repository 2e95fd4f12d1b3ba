"""The account against a walk in single minutes: random timetables, clocks, readings and events."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from fractions import Fraction
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lifecycle.planning.account import account_of
from lifecycle.planning.exposure import Exposure, Stay
from lifecycle.planning.last_day import Caps, last_day
from lifecycle.planning.ledger import ClassLimits, Entry, EntryKind, FaceInputs
from lifecycle.planning.levels import LevelRule, LightChange, Position, Reading
from lifecycle.planning.lit_hours import DatedSpan, LampState, Purpose, Timetable, WeeklySpan
from lifecycle.planning.quantities import Band, exact_lx_h, units_of
from tests.planning.walk import Case, Span, day_by_day, walk, years_back

# Zones and a day near which their clocks change: half-hour, midnight and two-hour changes, both
# hemispheres, a skipped date, and one that never changes.
CHANGES = (
    ("Europe/London", date(2026, 3, 29)),
    ("Europe/London", date(2026, 10, 25)),
    ("Australia/Sydney", date(2025, 10, 5)),
    ("Australia/Sydney", date(2026, 4, 5)),
    ("Australia/Lord_Howe", date(2026, 4, 5)),
    ("America/Sao_Paulo", date(2018, 11, 4)),
    ("America/Sao_Paulo", date(2018, 2, 18)),
    ("America/Havana", date(2026, 3, 8)),
    ("Antarctica/Troll", date(2026, 3, 29)),
    ("Pacific/Apia", date(2011, 12, 30)),
    ("Asia/Kolkata", date(2026, 1, 1)),
)
DAYS_BEFORE, DAYS = 5, 12

half_hours = st.integers(0, 47).map(lambda n: n * 30)


@st.composite
def spans(draw: st.DrawFn) -> Span:
    starts = draw(half_hours) + draw(st.sampled_from((0, 0, 10)))
    length = draw(st.integers(1, 20)) * 45
    purpose = draw(st.sampled_from(["public"] * 3 + [purpose.value for purpose in Purpose]))
    return Span(purpose, starts, min(starts + length, 2 * 1_440))


@st.composite
def cases(draw: st.DrawFn) -> tuple[Case, datetime, int, int]:
    zone, change = draw(st.sampled_from(CHANGES))
    first = change - timedelta(DAYS_BEFORE)
    origin = datetime.combine(first, datetime.min.time(), UTC)
    dated = st.dictionaries(
        st.integers(2, DAYS - 5).map(lambda n: first + timedelta(n)),
        st.lists(spans(), min_size=1, max_size=2).map(tuple),
        max_size=2,
    )
    moments = st.integers(1_440, (DAYS - 5) * 1_440)
    week = draw(
        st.dictionaries(st.integers(0, 6), st.lists(spans(), max_size=3).map(tuple), min_size=2)
    )
    lux = st.integers(0, 5_000).map(lambda n: Fraction(n, 10))
    states = st.sampled_from(("show", "show", "show", "cleaning", "work", "daylight_part"))
    case = Case(
        zone=zone,
        week=week,
        dark=frozenset(
            first + timedelta(n) for n in draw(st.sets(st.integers(2, DAYS - 5), max_size=2))
        ),
        instead=draw(dated),
        added=draw(dated),
        readings=tuple(draw(st.lists(st.tuples(moments, states, lux), max_size=6))),
        events=tuple(
            (min(pair), max(pair)) if wide else (pair[0], pair[0])
            for pair, wide in draw(
                st.lists(st.tuples(st.tuples(moments, moments), st.booleans()), max_size=3)
            )
        ),
        ceiling=draw(st.none() | lux),
        gap=draw(st.none() | st.integers(1, 6).map(lambda n: n * 1_000)),
        cover=Fraction(draw(st.integers(0, 100)), 100),
    )
    # The rim of the table of wall clocks is left out, so that every span lies inside it.
    bounds = st.integers(3 * 1_440, (DAYS - 5) * 1_440)
    since, until = sorted((draw(bounds), draw(bounds)))
    return case, origin, since, until


def as_position(case: Case, origin: datetime) -> Position:
    """The same case in the words of the code under test."""

    def moment(minute: int) -> datetime:
        return origin + timedelta(minutes=minute)

    def dated(day: date, span: Span, *, adds: bool) -> DatedSpan:
        return DatedSpan(
            on=day,
            adds=adds,
            purpose=Purpose(span.purpose),
            starts=span.starts,
            ends=span.ends,
        )

    exceptions = [DatedSpan(on=day, dark=True) for day in sorted(case.dark)]
    exceptions += [dated(d, s, adds=False) for d, row in case.instead.items() for s in row]
    exceptions += [dated(d, s, adds=True) for d, row in case.added.items() for s in row]
    weekly = tuple(
        WeeklySpan(weekday=day, purpose=Purpose(s.purpose), starts=s.starts, ends=s.ends)
        for day, row in case.week.items()
        for s in row
    )
    table = Timetable(
        name="random",
        spans=weekly,
        exceptions=tuple(exceptions),
        cover_percent=int(case.cover * 100),
    )
    return Position(
        ref="p",
        label="p",
        timetable=table,
        readings=tuple(
            Reading(at=moment(at), level=int(lux * 20), state=LampState(state))
            for at, state, lux in case.readings
        ),
        events=tuple(LightChange(first=moment(a), last=moment(b)) for a, b in case.events),
    )


def exposure(case: Case, origin: datetime, since: int, until: int) -> Exposure:
    end = origin + timedelta(minutes=until)
    stay = Stay(
        position=as_position(case, origin),
        since=origin + timedelta(minutes=since),
        until=end,
    )
    ceiling = None if case.ceiling is None else int(case.ceiling * 20)
    rule = LevelRule(gap_minutes=case.gap, ceiling=ceiling)
    return Exposure(stay, rule, end, ZoneInfo(case.zone))


def found(exposure: Exposure) -> list[Any]:
    dose = exposure.dose(exposure.start, exposure.end)
    lit = sum(part.lit_minutes for part in exposure.parts(exposure.start, exposure.end))
    return [exact_lx_h(dose.low), exact_lx_h(dose.likely), exact_lx_h(dose.high), Fraction(lit)]


@given(cases())
def test_every_dose_equals_the_walk_exactly(drawn: tuple[Case, datetime, int, int]) -> None:
    case, origin, since, until = drawn
    assert found(exposure(case, origin, since, until)) == walk(
        case, origin, DAYS * 1_440, since, until
    )


@given(cases(), st.data())
def test_doses_add_up_over_adjoining_spans_and_never_fall(
    drawn: tuple[Case, datetime, int, int], data: st.DataObject
) -> None:
    case, origin, since, until = drawn
    whole = exposure(case, origin, since, until)
    cut = data.draw(st.integers(whole.start, whole.end))
    left, right = whole.dose(whole.start, cut), whole.dose(cut, whole.end)
    assert left + right == whole.dose(whole.start, whole.end)
    assert 0 <= left.low <= left.likely <= left.high


@given(cases(), st.randoms(use_true_random=False))
def test_the_order_of_rows_does_not_matter(
    drawn: tuple[Case, datetime, int, int], random: Any
) -> None:
    case, origin, since, until = drawn
    readings, events = list(case.readings), list(case.events)
    random.shuffle(readings)
    random.shuffle(events)
    shuffled = Case(**{**vars(case), "readings": tuple(readings), "events": tuple(events)})
    assert found(exposure(shuffled, origin, since, until)) == found(
        exposure(case, origin, since, until)
    )


@given(cases(), st.integers(2, 5))
def test_a_dose_grows_with_the_light(drawn: tuple[Case, datetime, int, int], times: int) -> None:
    case, origin, since, until = drawn
    brighter = Case(
        **{
            **vars(case),
            "readings": tuple((at, state, lux * times) for at, state, lux in case.readings),
            "ceiling": None if case.ceiling is None else case.ceiling * times,
        }
    )
    once = found(exposure(case, origin, since, until))
    more = found(exposure(brighter, origin, since, until))
    assert more[:3] == [dose * times for dose in once[:3]]


@given(cases())
def test_the_days_of_a_stay_add_up_to_it(drawn: tuple[Case, datetime, int, int]) -> None:
    case, origin, since, until = drawn
    stay = exposure(case, origin, since, until)
    total = sum(dose for _, dose in stay.day_doses())
    assert total == stay.dose(stay.start, stay.end).likely


@settings(max_examples=10)
@given(cases(), st.integers(0, 4_000), st.integers(0, 6_000), st.booleans())
def test_a_whole_account_equals_the_walk_over_all_its_displays(
    drawn: tuple[Case, datetime, int, int], allowance: int, lump: int, leap: bool
) -> None:
    """Two displays a year apart, an estimate, lab light: spent in the window, lifetime, left."""
    case, origin, since, until = drawn
    years = 4 if leap else 1
    moved = origin.date().replace(day=1, year=origin.year + years)
    later = datetime.combine(moved, datetime.min.time(), UTC) + timedelta(origin.day - 1)
    now = later + timedelta(minutes=until)
    stays = tuple(
        Stay(
            position=as_position(case, start),
            since=start + timedelta(minutes=since),
            until=start + timedelta(minutes=until),
            ref=str(start),
        )
        for start in (origin, later)
    )
    estimate = Entry(
        kind=EntryKind.ESTIMATE,
        since=origin,
        until=origin + timedelta(1),
        dose=Band.sure(units_of(lump)),
    )
    lab = Entry(
        kind=EntryKind.IMAGING,
        since=later,
        until=later + timedelta(minutes=30),
        dose=Band.sure(units_of(lump)),
    )
    limits = ClassLimits(
        version=1,
        label="x",
        max_lux=0,
        allowance_lx_h=allowance,
        window_years=years,
        reading_every_days=3_650,
    )
    if case.ceiling is not None:
        stays = tuple(replace(stay, ceiling=int(case.ceiling * 20)) for stay in stays)
    else:
        case = replace(case, ceiling=Fraction(0))
    inputs = FaceInputs(
        face="f", zone=case.zone, at=now, limits=limits, stays=stays, entries=(estimate, lab)
    )
    account = account_of(inputs)
    plain = replace(case, gap=2 * 3_650 * 1_440)
    zone = ZoneInfo(case.zone)
    cut = years_back(now.astimezone(zone).date(), years)
    first = sum(
        (origin + timedelta(minutes=n)).astimezone(zone).date() <= cut for n in range(DAYS * 1_440)
    )
    early = walk(plain, origin, DAYS * 1_440, since, until)
    inside = walk(plain, origin, DAYS * 1_440, since, until, first)
    late = walk(plain, later, DAYS * 1_440, since, until)
    charged = lump if lump * 100 > allowance else 0
    last_of_lump = (origin + timedelta(1) - timedelta(minutes=1)).astimezone(zone).date()
    kept = lump if last_of_lump > cut else 0
    lab_in = charged if lab.until <= now else 0
    for n, name in enumerate(("low", "likely", "high")):
        spent = exact_lx_h(getattr(account.spent, name))
        assert spent == inside[n] + late[n] + kept + lab_in
        assert exact_lx_h(getattr(account.lifetime, name)) == early[n] + late[n] + lump + lab_in
    if account.left is not None:
        assert exact_lx_h(account.left.low) == allowance - (inside[2] + late[2] + kept + lab_in)


@settings(max_examples=10)
@given(cases(), st.integers(0, 3_000))
def test_the_last_day_is_the_one_before_the_walk_passes_the_allowance(
    drawn: tuple[Case, datetime, int, int], allowance: int
) -> None:
    case, origin, since, until = drawn
    case = replace(case, ceiling=case.ceiling or Fraction(0), gap=2 * 3_650 * 1_440)
    now = origin + timedelta(minutes=until)
    stay = Stay(
        position=as_position(case, origin),
        since=origin + timedelta(minutes=since),
        ceiling=int((case.ceiling or 0) * 20),
        ref="r",
    )
    limits = ClassLimits(
        version=1,
        label="x",
        max_lux=0,
        allowance_lx_h=allowance,
        window_years=5,
        reading_every_days=3_650,
    )
    inputs = FaceInputs(face="f", zone=case.zone, at=now, limits=limits, stays=(stay,))
    answer = last_day(inputs, Caps(planned_end=inputs.today))
    assert answer is not None
    doses = day_by_day(case, origin, DAYS * 1_440, since, until)
    total, passed = Fraction(0), None
    for day in sorted(doses):
        total += doses[day]
        if total > allowance:
            passed = day
            break
    if passed is not None:
        assert answer.day is not None
        assert answer.day < passed
        assert sum((dose for day, dose in doses.items() if day <= answer.day), Fraction(0)) <= (
            allowance
        )
        # No day with light lies between the last day and the one that passes the allowance.
        assert not [day for day in doses if answer.day < day < passed and doses[day]]
    elif answer.day is not None:
        assert answer.day >= max(doses, default=answer.day) - timedelta(1)


def test_the_walk_itself_knows_a_plain_day() -> None:
    # A check of the checker: 45 lx for 7 h is 315 lx·h, on a day without any change of clocks.
    case = Case(
        zone="Asia/Kolkata",
        week={day: (Span("public", 600, 1_020),) for day in range(7)},
        dark=frozenset(),
        instead={},
        added={},
        readings=((0, "show", Fraction(45)),),
        events=(),
        ceiling=None,
        gap=None,
        cover=Fraction(1),
    )
    origin = datetime(2026, 1, 1, tzinfo=UTC)
    day = 4 * 1_440 - 330
    assert walk(case, origin, DAYS * 1_440, day, day + 1_440) == [315, 315, 315, 420]


@pytest.mark.slow
@settings(max_examples=150)
@given(cases())
def test_every_dose_equals_the_walk_exactly_over_many_cases(
    drawn: tuple[Case, datetime, int, int],
) -> None:
    case, origin, since, until = drawn
    assert found(exposure(case, origin, since, until)) == walk(
        case, origin, DAYS * 1_440, since, until
    )
