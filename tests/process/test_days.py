"""How a day reads in sentences."""

from datetime import UTC, date, datetime

from lifecycle.process.days import day_words


def test_a_day_reads_as_on_the_pages() -> None:
    assert day_words(date(2026, 12, 14)) == "Mon 14 Dec 2026"
    assert day_words(date(2026, 12, 14), date(2026, 1, 1)) == "Mon 14 Dec"
    assert day_words(date(2027, 3, 7), date(2026, 1, 1)) == "Sun 7 Mar 2027"


def test_a_moment_is_the_day_it_names() -> None:
    assert day_words(datetime(2026, 12, 14, 23, 59, tzinfo=UTC)) == "Mon 14 Dec 2026"
