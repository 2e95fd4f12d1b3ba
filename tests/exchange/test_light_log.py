"""A logger's file, line by line: clocks, units, and lines that are named and left out."""

from datetime import UTC, datetime
from typing import Any

import pytest

from lifecycle.exchange.light_log import Reading, Series, clock_of, read_lines, suggest
from lifecycle.exchange.tables.reading import read_table
from lifecycle.planning.moments import minute_of

HOW = {"moment": 0, "lux": 1, "zone": "UTC"}


def read(text: str, **how: Any) -> Series:
    table = read_table(text.encode(), "log.csv")
    series = Series()
    read_lines(table.lines, Reading(**{**HOW, **how}), series)
    return series


def at(*parts: int) -> int:
    return minute_of(datetime(*parts, tzinfo=UTC))  # type: ignore[arg-type, misc]


def test_a_plain_file_is_read_on_the_clock_that_is_named() -> None:
    file = "Time,Light\n2026-06-02 10:00,48.04\n2026-06-02 10:15:30,48.05 lx\n"
    series = read(file)
    assert [one[:2] for one in series.samples] == [
        (at(2026, 6, 2, 10), 480), (at(2026, 6, 2, 10, 15), 481),
    ]  # fmt: skip
    assert read(file, zone="UTC+01:00").samples[0][0] == at(2026, 6, 2, 9)
    assert read(file, zone="Europe/London").samples[0][0] == at(2026, 6, 2, 9)


@pytest.mark.parametrize(
    ("unit", "written", "tenths"),
    [("lux", "48", 480), ("kilolux", "0.048", 480), ("foot_candle", "5", 538)],
)
def test_units_are_turned_into_lux(unit: str, written: str, tenths: int) -> None:
    """One foot-candle is 10.764 lx (exact: 1 / 0.3048 squared, rounded); 5 fc are 53.8 lx."""
    assert read(f"t,l\n2026-06-02 10:00,{written}\n", unit=unit).samples[0][1] == tenths


def test_days_are_read_as_said_and_twelve_hours_as_marked() -> None:
    file = "d,t,l\n03/04/2026,1:15 PM,20\n"
    british = read(file, clock=1, lux=2)
    assert british.samples[0][0] == at(2026, 4, 3, 13, 15)
    american = read(file, clock=1, lux=2, day_first=False)
    assert american.samples[0][0] == at(2026, 3, 4, 13, 15)


def test_the_doubled_hour_is_read_twice_and_the_missing_one_is_refused_by_its_line() -> None:
    """Clocks in London went back on 25 October 2026 at 02:00, and forward on 29 March."""
    back = read(
        "t,l\n2026-10-25 01:30,40\n2026-10-25 01:45,40\n2026-10-25 01:15,40\n",
        zone="Europe/London",
    )
    assert [one[0] - at(2026, 10, 25, 0, 30) for one in back.samples] == [0, 15, 45]
    forward = read("t,l\n2026-03-29 00:45,40\n2026-03-29 01:15,40\n", zone="Europe/London")
    assert len(forward.samples) == 1
    assert (forward.left[0].number, forward.left_out) == (3, 1)
    assert "all the year" in forward.left[0].why


@pytest.mark.parametrize(
    ("line", "why"),
    [
        ("2026-06-02 10:15,-3", "negative"),
        ("2026-06-02 10:15,bright", "no number"),
        ("2026-06-02 10:15,", "No light"),
        ("2026-06-02 10:15,9999999", "more light than the sun"),
        ("2026-06-02 10:00,48", "the same minute as"),
        ("2026-06-02 09:00,48", "an earlier time"),
        ("2026-13-02 10:15,48", "no day"),
        ("2026-06-02,48", "No time of day"),
        ("2026-06-02 25:15,48", "no time"),
        ("46175.42,48", "is no day"),
    ],
)
def test_a_line_that_cant_be_right_is_named_with_its_number_and_left_out(
    line: str, why: str
) -> None:
    series = read(f"t,l\n2026-06-02 10:00,48\n{line}\n2026-06-02 10:30,48\n")
    assert len(series.samples) == 2
    assert [one.number for one in series.left] == [3]
    assert why in series.left[0].why


def test_columns_are_suggested_and_a_month_first_file_is_noticed() -> None:
    table = read_table(b"No.,Date,Time,Illuminance (lx),UV\n1,06/13/2026,10:00,48,3\n", "log.csv")
    assert suggest(table) == {"moment": 1, "clock": 2, "lux": 3, "uv": 4, "day_first": False}
    one = read_table(b"Timestamp,Light\n2026-06-02 10:00,48\n", "log.csv")
    assert suggest(one) == {
        "moment": 0, "clock": None, "lux": 1, "uv": None, "day_first": True,
    }  # fmt: skip


def test_a_clock_nobody_has_is_refused() -> None:
    for name in ("Hollinshire", "UTC+19:00"):
        with pytest.raises(ValueError, match="clock"):
            clock_of(name)
