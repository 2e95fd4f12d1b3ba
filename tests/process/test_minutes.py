"""A minute told by a form stands for the whole of it."""

from datetime import UTC, datetime, timedelta

from lifecycle.process.minutes import end_of


def test_a_minute_told_counts_to_its_end_and_never_past_now() -> None:
    told, now = datetime(2026, 6, 2, 9, 30, tzinfo=UTC), datetime(2026, 6, 2, 9, 45, tzinfo=UTC)
    assert told <= end_of(told, now) < told + timedelta(minutes=1)
    assert end_of(told, told) == told
