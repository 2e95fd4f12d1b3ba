"""Which backups stay: the last of each day, week and month; pure, so walked with many calendars."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from hypothesis import given
from hypothesis import strategies as st

from lifecycle.exchange.backup.keeping import Kept, to_keep

LONDON = ZoneInfo("Europe/London")
USUAL = Kept(daily=7, weekly=5, monthly=12)
FIRST = datetime(2024, 1, 1, 2, 0, tzinfo=UTC)
moments = st.lists(
    st.integers(0, 10 * 365 * 24).map(lambda hours: FIRST + timedelta(hours=hours)),
    min_size=1,
    unique=True,
)
some = st.builds(
    Kept, daily=st.integers(1, 9), weekly=st.integers(0, 6), monthly=st.integers(0, 14)
)


def nightly(nights: int) -> set[datetime]:
    """What is there after so many nights, each with its backup and its clearing up."""
    there: set[datetime] = set()
    for night in range(nights):
        there = to_keep(there | {FIRST + timedelta(days=night)}, kept=USUAL, zone=LONDON)
    return there


def test_after_three_years_of_nights_each_kind_is_there_and_no_more() -> None:
    there = sorted(nightly(3 * 365))
    last = FIRST + timedelta(days=3 * 365 - 1)
    assert there[-7:] == [last - timedelta(days=back) for back in range(6, -1, -1)]
    months = [(moment.year, moment.month) for moment in there]
    assert len(set(months)) == 12
    assert len({moment.isocalendar()[:2] for moment in there if moment > last - timedelta(35)}) >= 5
    assert len(there) <= 7 + 5 + 12


def test_the_last_backup_of_a_month_is_the_one_that_stays() -> None:
    there = nightly(400)
    ends = [moment for moment in there if (moment + timedelta(days=1)).day == 1]
    assert len(ends) == 11  # the present month has not ended


def test_of_two_on_one_day_the_later_stays() -> None:
    early, late = FIRST, FIRST + timedelta(hours=9)
    assert to_keep([early, late], kept=Kept(1, 0, 0), zone=LONDON) == {late}


def test_the_day_is_the_museums() -> None:
    """23:30 UTC in June is the next day in London."""
    evening = datetime(2026, 6, 1, 23, 30, tzinfo=UTC)
    morning = datetime(2026, 6, 2, 9, 0, tzinfo=UTC)
    assert to_keep([evening, morning], kept=Kept(7, 0, 0), zone=LONDON) == {morning}
    assert len(to_keep([evening, morning], kept=Kept(7, 0, 0), zone=ZoneInfo("UTC"))) == 2


def test_a_year_switched_off_takes_nothing_away() -> None:
    before = {FIRST + timedelta(days=day) for day in range(7)}
    assert before <= to_keep(
        before | {FIRST + timedelta(days=500)}, kept=Kept(8, 5, 12), zone=LONDON
    )


@given(moments, some)
def test_the_newest_stays_nothing_is_made_up_and_clearing_twice_is_clearing_once(
    there: list[datetime], kept: Kept
) -> None:
    stay = to_keep(there, kept=kept, zone=LONDON)
    assert max(there) in stay
    assert stay <= set(there)
    assert len(stay) <= kept.daily + kept.weekly + kept.monthly
    assert to_keep(stay, kept=kept, zone=LONDON) == stay
