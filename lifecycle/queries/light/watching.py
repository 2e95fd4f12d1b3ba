"""What is due while objects are on display: readings per case, looks per object, flags."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from uuid import UUID

from django.db.models import Q

from lifecycle.planning.counting import counted
from lifecycle.process.facts.light import FlagFacts, WatchFacts
from lifecycle.process.minutes import before
from lifecycle.process.words import LookVerdict, PlaceKind
from lifecycle.process.working_days import working_days_after
from lifecycle.queries.days_off import days_off_of
from lifecycle.queries.light.gathering import Gathered
from lifecycle.queries.rights import places_below
from lifecycle.records.models import DisplayPeriod, Look, Place, Showing
from lifecycle.records.models.light import NotReached

FLAGGED = (LookVerdict.LOOK_AGAIN.value, LookVerdict.ACT_NOW.value)
READING_EVERY_DAYS, LOOK_EVERY_DAYS = 28, 14
"""Intervals where neither assessment nor class says one: those a class rule starts with."""


@dataclass(frozen=True, slots=True)
class LastRead:
    """The reading a place last had, and when the next is due."""

    uid: str
    on: date | None
    due: date
    because: str


class Watch:
    """The watch over the showings that are up; two queries beside what was gathered."""

    def __init__(self, gathered: Gathered, showings: Sequence[Showing]) -> None:
        self.gathered = gathered
        self.up: dict[int, DisplayPeriod] = {}
        for row in showings:
            for period in gathered.periods[row.museum_object_id]:
                if period.closed_at is None and period.showing_id == row.pk:
                    self.up[row.pk] = period
        looks = Look.objects.filter(showing__in=[row.pk for row in showings])
        looks = looks.filter(entered_at__lte=gathered.at).exclude(verdict="")
        self.looked: dict[int, Look] = {}
        self.flags: dict[int, list[Look]] = defaultdict(list)
        rows = looks.select_related("looked_by").prefetch_related("answers")
        for look in rows.order_by("looked_at", "pk"):
            if look.showing_id is None:
                continue
            self.looked[look.showing_id] = look
            if look.verdict in FLAGGED and not look.answers.all():
                self.flags[look.showing_id].append(look)
        self._cases: dict[int, LastRead] = {}
        for showing_id, period in self.up.items():
            case, read = self.case_of(period.place_id), self._read(showing_id, period)
            if case not in self._cases or read.due < self._cases[case].due:
                self._cases[case] = read

    def case_of(self, place_id: int) -> int:
        """Return the case a position lies in, else the place itself: readings are its task."""
        book = self.gathered.book
        chain = book.chain(place_id)
        return next((pk for pk in chain if book.places[pk].kind == PlaceKind.CASE), place_id)

    def _day(self, moment: datetime) -> date:
        return moment.astimezone(self.gathered.zone).date()

    def _read(self, showing_id: int, period: DisplayPeriod) -> LastRead:
        book = self.gathered.book
        last = max(book.readings(period.place_id), key=lambda row: row.read_at, default=None)
        if last is None:
            opened = self._day(period.opened_at)
            return LastRead("none", None, opened, "No light reading since it was put up.")
        every = self.gathered.conditions(showing_id).reading_every_days
        rule = self.gathered.class_rule(self.gathered.faces[period.face_id])
        every = every or (READING_EVERY_DAYS if rule is None else rule.reading_every_days)
        read_on = self._day(last.read_at)
        due, because = read_on + timedelta(every), f"Every {counted(every, 'day')}."
        # As in the account: a reading told in the minute of the event was made after it.
        voided = [e for e in book.events(period.place_id) if before(last.read_at, e.until_at)]
        if voided:
            first = min(self._day(event.reported_at) for event in voided)
            due, because = min(due, first), "A light event voids the last reading."
        return LastRead(str(last.uid), read_on, due, because)

    def reading(self, showing: Showing) -> LastRead | None:
        period = self.up.get(showing.pk)
        return None if period is None else self._cases[self.case_of(period.place_id)]

    def look_due(self, showing: Showing) -> date | None:
        """Return the day the next look at this object is due."""
        period = self.up.get(showing.pk)
        if period is None:
            return None
        every = self.gathered.conditions(showing.pk).look_every_days
        rule = self.gathered.class_rule(self.gathered.faces[period.face_id])
        every = every or (LOOK_EVERY_DAYS if rule is None else rule.look_every_days)
        last = self.looked.get(showing.pk)
        since = period.opened_at if last is None else max(last.looked_at, period.opened_at)
        return self._day(since) + timedelta(every)

    def of(self, showing: Showing) -> WatchFacts:
        """Return what is due for one showing; empty while it is not up."""
        period, read = self.up.get(showing.pk), self.reading(showing)
        if period is None or read is None:
            return WatchFacts()
        case = self.gathered.book.places[self.case_of(period.place_id)]
        last = self.looked.get(showing.pk)
        return WatchFacts(
            place=case.name,
            place_uid=case.uid,
            last_reading=read.uid,
            reading_due=read.due,
            last_look="none" if last is None else str(last.uid),
            look_due=self.look_due(showing),
        )

    def _answer_due(self, look: Look) -> date:
        day = self._day(look.looked_at)
        if look.verdict == LookVerdict.ACT_NOW:
            return day
        return working_days_after(day, 2, days_off_of(self.gathered.rules))

    def flags_of(self, showing: Showing) -> tuple[FlagFacts, ...]:
        """Return the flags without an answer; 'look again' is due in two working days."""
        return tuple(
            FlagFacts(
                uid=str(look.uid),
                act_now=look.verdict == LookVerdict.ACT_NOW,
                flagged_on=self._day(look.looked_at),
                answer_due=self._answer_due(look),
                by=look.looked_by.full_name,
            )
            for look in self.flags[showing.pk]
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class ObjectDue:
    """One object on the walk: when it was last looked at and when the next look is due."""

    showing: Showing
    period: DisplayPeriod
    last_look: Look | None
    due: date
    ceiling: int | None
    uv_ceiling: int | None
    flags: tuple[Look, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseDue:
    """One case, or wall position, on the walk with everything in it."""

    place: Place
    last_read_on: date | None
    reading_due: date
    because: str
    objects: tuple[ObjectDue, ...]
    chain: frozenset[int]
    """The case and every place above it, by primary key: who is posted there."""

    @property
    def first_due(self) -> date:
        return min([self.reading_due, *(one.due for one in self.objects)])


def walk(at: datetime, *, inside: Collection[int] | None = None) -> list[CaseDue]:
    """Return every case with something on display, the most pressing first, in fixed queries.

    :param inside: only what hangs in one of these places, as ``places_below`` gives them
    """
    periods = DisplayPeriod.objects.filter(closed_at=None, struck_at=None, opened_at__lte=at)
    if inside is not None:
        # Whole cases are gathered: when a case is to be read rests on all that hangs in it.
        cut = Place.objects.filter(kind=PlaceKind.CASE, children__in=inside).values("pk")
        near = Q(place__in=inside) | Q(place__in=cut) | Q(place__parent__in=cut)
        periods = periods.filter(near)
    showings = list(Showing.objects.filter(display_periods__in=periods).distinct().order_by("pk"))
    gathered = Gathered([], at, showings=showings)
    watch = Watch(gathered, showings)
    objects: dict[int, list[ObjectDue]] = defaultdict(list)
    for row in showings:
        period = watch.up.get(row.pk)
        due = watch.look_due(row)
        if period is None or due is None:
            continue
        if inside is not None and period.place_id not in inside:
            continue
        period.face = gathered.faces[period.face_id]
        lux, uv = gathered.ceilings(row.pk, period.face)
        objects[watch.case_of(period.place_id)].append(
            ObjectDue(
                showing=gathered.showings[row.pk],
                period=period,
                last_look=watch.looked.get(row.pk),
                due=due,
                ceiling=lux,
                uv_ceiling=uv,
                flags=tuple(watch.flags[row.pk]),
            )
        )
    named = Place.objects.in_bulk(list(objects))
    cases = []
    for case_id, held in objects.items():
        read = watch.reading(held[0].showing)
        if read is None:
            continue
        cases.append(
            CaseDue(
                place=named[case_id],
                last_read_on=read.on,
                reading_due=read.due,
                because=read.because,
                chain=frozenset(gathered.book.chain(case_id)),
                objects=tuple(sorted(held, key=lambda one: (one.due, one.showing.pk))),
            )
        )
    return sorted(cases, key=lambda case: (case.first_due, case.place.name, case.place.pk))


@dataclass(frozen=True, slots=True, kw_only=True)
class LookLine:
    """One dated look in words: for the showing's page and the de-install form."""

    uid: UUID
    looked_at: datetime
    by: str
    seen: str
    through_glass: bool
    note: str
    face: str
    place: str
    flagged: bool
    answers: tuple[str, ...]


def looks_of(showing: Showing) -> list[LookLine]:
    """Return every look at the object in this showing, oldest first, in two queries."""
    rows = (
        Look.objects.filter(showing=showing)
        .select_related("looked_by", "face", "place")
        .prefetch_related("answers__answered_by")
        .order_by("looked_at", "pk")
    )
    return [look_line(row) for row in rows]


def look_line(row: Look) -> LookLine:
    if row.verdict:
        seen = LookVerdict(row.verdict).label
    else:
        seen = f"{NotReached(row.not_looked).label}: {row.not_reached_because}"
    return LookLine(
        uid=row.uid,
        looked_at=row.looked_at,
        by=row.looked_by.full_name,
        seen=seen,
        through_glass=row.through_glass,
        note=row.note,
        face="" if row.face is None else row.face.label,
        place=row.place.name,
        flagged=row.verdict in FLAGGED,
        answers=tuple(
            f"answered: {one.text}, {one.answered_by.full_name}"
            for one in sorted(row.answers.all(), key=lambda answer: answer.pk)
        ),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseCeiling:
    """The lowest lux ceiling among the objects in a case, who sets it, and who may have more."""

    lux: int | None
    set_by: tuple[str, ...]
    others: tuple[str, ...]
    without: tuple[str, ...]


def case_ceiling(place: Place, at: datetime) -> CaseCeiling:
    """Return what the light in a case may be: the strictest of what hangs there now."""
    return strictest_in(walk(at, inside=places_below([place.pk])))


def strictest_in(cases: Iterable[CaseDue]) -> CaseCeiling:
    """Return the ceiling of what hangs in some cases of a walk."""
    found: list[tuple[int, str]] = []
    without: list[str] = []
    for case in cases:
        for one in case.objects:
            number = one.period.face.museum_object.object_number
            if one.ceiling is None:
                without.append(number)
            else:
                found.append((one.ceiling, number))
    lowest = min((lux for lux, _ in found), default=None)
    return CaseCeiling(
        lux=lowest,
        set_by=tuple(number for lux, number in found if lux == lowest),
        others=tuple(number for lux, number in found if lux != lowest),
        without=tuple(without),
    )


def objects_at(place: Place, at: datetime) -> set[int]:
    """Return the objects on display in a place or below, by primary key."""
    up = DisplayPeriod.objects.filter(
        place__in=places_below([place.pk]), closed_at=None, struck_at=None, opened_at__lte=at
    )
    return set(up.values_list("museum_object", flat=True))
