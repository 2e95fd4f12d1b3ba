"""Tests of materials: what each kind of test says, how long it counts, and for which use.

Three grades of the accelerated corrosion test (Oddy), and five years until a test is made again,
are usual in the trade (from memory). A pass is a pass of that batch
on those metals, not a word about paper: what touches photographs has its own test.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from types import MappingProxyType
from typing import Final

from lifecycle.process.days import day_words
from lifecycle.process.words import Word

COUNTS_YEARS: Final = 5
"""Years until a test is made again when nobody names another day."""

LAPSE_NOTICE_DAYS: Final = 28
"""How long before it lapses a test stands on Today."""


class HowTested(Word):
    """Names of the tests as the trade and ISO 18916 (photographic activity) use them."""

    ODDY = "oddy"
    PHOTOGRAPHIC_ACTIVITY = "photographic_activity"
    PH_AND_BLEEDING = "ph_and_bleeding"
    OTHER = "other"

    @property
    def label(self) -> str:
        return {
            "oddy": "Oddy test (corrosion of coupons)",
            "photographic_activity": "photographic activity test",
            "ph_and_bleeding": "pH and bleeding",
            "other": "another test",
        }[self.value]


class Rating(Word):
    PERMANENT = "permanent"
    TEMPORARY = "temporary"
    UNSUITABLE = "unsuitable"
    PASSED = "passed"
    FAILED = "failed"

    @property
    def label(self) -> str:
        return {
            "permanent": "P: any length of time",
            "temporary": "T: up to about six months",
            "unsuitable": "U: not in a closed space",
            "passed": "passed",
            "failed": "failed",
        }[self.value]


class MaterialUse(Word):
    CONTACT = "contact"
    CASE = "case"
    MOUNT = "mount"

    @property
    def label(self) -> str:
        return {
            "contact": "touching objects",
            "case": "in a closed case",
            "mount": "in mounts",
        }[self.value]


BAD: Final = frozenset({Rating.UNSUITABLE, Rating.FAILED})
RATINGS: Final = MappingProxyType(
    {
        how: (
            (Rating.PERMANENT, Rating.TEMPORARY, Rating.UNSUITABLE)
            if how is HowTested.ODDY
            else (Rating.PASSED, Rating.FAILED)
        )
        for how in HowTested
    }
)
"""The ratings that each kind of test can give."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ResultOnDay:
    """One result. ``until`` is the last day on which it counts."""

    how: HowTested
    rating: Rating
    tested_on: date
    until: date


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """How a material stands on a day: its latest result of each kind, by whether it counts."""

    counting: tuple[ResultOnDay, ...] = ()
    lapsed: tuple[ResultOnDay, ...] = ()

    @property
    def bad(self) -> tuple[ResultOnDay, ...]:
        """Results against it; a bad one does not lapse into a good one."""
        return tuple(one for one in (*self.counting, *self.lapsed) if one.rating in BAD)

    def of(self, how: HowTested) -> ResultOnDay | None:
        """The result of this kind that counts, if there is one."""
        return next((one for one in self.counting if one.how is how), None)

    @property
    def next_lapse(self) -> date | None:
        """The last day of the result that lapses first; None when no result counts."""
        good = [one.until for one in self.counting if one.rating not in BAD]
        return min(good, default=None)


def counts_until(tested_on: date, years: int = COUNTS_YEARS) -> date:
    """Return the last day on which a test counts.

    >>> counts_until(date(2024, 2, 29))
    datetime.date(2029, 2, 28)
    """
    try:
        return tested_on.replace(year=tested_on.year + years)
    except ValueError:
        return tested_on.replace(year=tested_on.year + years, day=28)


def standing_on(results: Iterable[ResultOnDay], day: date) -> Standing:
    """Sort a material's results; of each kind the youngest speaks."""
    latest: dict[HowTested, ResultOnDay] = {}
    for one in sorted(results, key=lambda r: r.tested_on):
        latest[one.how] = one
    rows = [latest[how] for how in HowTested if how in latest]
    return Standing(
        counting=tuple(one for one in rows if one.until >= day),
        lapsed=tuple(one for one in rows if one.until < day),
    )


def warnings_of(standing: Standing) -> Iterator[str]:
    """Yield what to know before the material is used again, in sentences."""
    for one in standing.bad:
        yield (
            f"{one.how.label}, {day_words(one.tested_on)}: {one.rating.label}. Keep it away from "
            "objects."
        )
    for one in standing.lapsed:
        if one.rating not in BAD:
            yield (
                f"{one.how.label} of {day_words(one.tested_on)}: it counted until "
                f"{day_words(one.until)}. Test it again, or take another batch."
            )
    oddy = standing.of(HowTested.ODDY)
    if oddy is not None and oddy.rating is Rating.TEMPORARY:
        yield "Rated T: up to about six months in a closed case, then it comes out."


def against(use: MaterialUse, standing: Standing, *, on_the_list: bool) -> Iterator[str]:
    """Yield why a material can't be accepted for a use.

    ``on_the_list``: it stands on the house's list of accepted materials.
    """
    for one in standing.bad:
        if one.rating is Rating.UNSUITABLE and use is not MaterialUse.CASE:
            continue
        yield f"its last {one.how.label} says “{one.rating.label}”"
    if use is MaterialUse.CASE and not on_the_list and standing.of(HowTested.ODDY) is None:
        yield "no Oddy test of it counts today"
    elif not on_the_list and not standing.counting:
        yield "no test of it counts today"
