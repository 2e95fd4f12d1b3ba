"""What a wall clock shows as a moment: each hour of the year, the doubled one, the missing one."""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest

from lifecycle.queries.clock import on_the_clock

LONDON = ZoneInfo("Europe/London")


@pytest.mark.parametrize(
    ("wall", "moment"),
    [
        ("2026-06-02 14:30", datetime(2026, 6, 2, 13, 30, tzinfo=UTC)),
        ("2026-01-02 14:30", datetime(2026, 1, 2, 14, 30, tzinfo=UTC)),
        ("2026-10-25 01:30", datetime(2026, 10, 25, 0, 30, tzinfo=UTC)),
        ("2026-06-02 14:30+05:00", datetime(2026, 6, 2, 9, 30, tzinfo=UTC)),
    ],
)
def test_a_time_is_read_on_the_clock_unless_it_names_its_zone(wall: str, moment: datetime) -> None:
    # Turned first: Python calls a time of the doubled hour unequal to any of another zone.
    assert on_the_clock(datetime.fromisoformat(wall), LONDON).astimezone(UTC) == moment


def test_a_time_in_the_hour_that_the_clock_leaves_out_is_refused() -> None:
    """In 2026 the clocks of the United Kingdom go from 01:00 to 02:00 on 29 March."""
    with pytest.raises(ValueError, match="never showed"):
        on_the_clock(datetime.fromisoformat("2026-03-29 01:30"), LONDON)
    first = on_the_clock(datetime.fromisoformat("2026-03-29 02:00"), LONDON)
    assert first.astimezone(UTC).hour == 1


def test_a_day_at_the_edge_of_the_calendar_is_refused_in_words() -> None:
    with pytest.raises(ValueError, match="beyond the calendar"):
        on_the_clock(datetime.fromisoformat("0001-01-01 00:00"), ZoneInfo("Asia/Tokyo"))
