"""Light on a face up to a moment, its limits, and what is due, as they stand on a paper."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime

from lifecycle.papers.filling.block_o import House, day, figure
from lifecycle.papers.words.parts import DatedLine, LightWords
from lifecycle.planning.quantities import Band
from lifecycle.process.facts.light import FaceLight, ShowingLight
from lifecycle.queries.light import FaceAccount, LuxHours, account_of, light_of
from lifecycle.records.models import Face, LightReading, Place, ReadingPoint, Showing

LAST_READINGS = 2


@dataclass(frozen=True, slots=True)
class LightNow:
    """Light of one face in one showing: its words, its last day, what is due."""

    words: LightWords | None
    last_day: date | None
    due: tuple[DatedLine, ...]


def light_now(
    showing: Showing, face: Face | None, place: Place | None, *, at: datetime, of_house: House
) -> LightNow:
    """Read the light of a face at `at`; a fixed number of queries, nothing without a face."""
    if face is None:
        return LightNow(None, None, ())
    reckoned = light_of([showing], at)[showing.pk]
    account = account_of(face, at)
    line = next((one for one in reckoned.faces if one.face_id == face.pk), None)
    words = LightWords(
        total=_total(account, showing),
        ceiling=_ceiling(line),
        basis=_basis(account, showing),
        points=_points(place),
        last_readings=_last_readings(place, at, of_house),
    )
    return LightNow(words, line.last_day if line else None, tuple(_due(reckoned)))


def _in_showing(account: FaceAccount, showing: Showing) -> LuxHours:
    own = [line.dose for line in account.lines if line.ref == str(showing.uid)]
    return LuxHours.of(sum(own, start=Band()))


def _total(account: FaceAccount, showing: Showing) -> str:
    if account.missing:
        lacks = " ".join(one.text for one in account.missing)
        return f"cannot be computed: {lacks}"
    spent = f"{_in_showing(account, showing)} in this showing"
    if account.allowance is None:
        return spent
    return f"{spent}; {account.spent} of {account.allowance:,} lx·h allowed in the window"


def _basis(account: FaceAccount, showing: Showing) -> str:
    own = dict.fromkeys(
        line.basis for line in account.lines if line.ref == str(showing.uid) and line.basis
    )
    parts = list(own)
    if account.account.assumed_percent:
        parts.append(f"{account.account.assumed_percent} % of all light on record is assumed")
    if account.rules_version is not None:
        parts.append(f"house rules version {account.rules_version}")
    return ", ".join(parts) or "nothing on record yet"


def _ceiling(line: FaceLight | None) -> str:
    if line is None or line.ceiling is None:
        return "not set: sign the assessment"
    uv = f", UV {figure(line.uv_ceiling)} µW/lm" if line.uv_ceiling is not None else ""
    return f"{figure(line.ceiling)} lx{uv}"


def _near(place: Place) -> list[int]:
    """The position and the case it lies in: points and readings may stand on either."""
    return [place.pk, *([place.parent_id] if place.parent_id else [])]


def _points(place: Place | None) -> tuple[str, ...]:
    if place is None:
        return ()
    rows = ReadingPoint.objects.filter(place__in=_near(place), retired_on=None)
    return tuple(f"{row.letter} ({row.label})" for row in rows.order_by("letter", "pk"))


def _last_readings(place: Place | None, at: datetime, of_house: House) -> tuple[str, ...]:
    if place is None:
        return ()
    rows = (
        LightReading.objects.filter(place__in=_near(place), read_at__lte=at, corrected_by=None)
        .select_related("point")
        .order_by("-read_at", "-pk")[:LAST_READINGS]
    )
    return tuple(
        ", ".join(
            part
            for part in (
                figure(row.lux, "lx"),
                f"UV {figure(row.uv, 'µW/lm')}" if row.uv is not None else "",
                f"at {row.point.letter}" if row.point else "",
                of_house.moment(row.read_at),
            )
            if part
        )
        for row in rows
    )


def _due(light: ShowingLight) -> Iterator[DatedLine]:
    """Due looks and readings, and flags nobody has answered."""
    if light.watch.reading_due is not None:
        yield DatedLine(
            when=day(light.watch.reading_due), what=f"light reading at {light.watch.place}"
        )
    if light.watch.look_due is not None:
        yield DatedLine(when=day(light.watch.look_due), what="look at the object")
    for flag in light.flags:
        word = "act now" if flag.act_now else "look again"
        yield DatedLine(
            when=day(flag.answer_due),
            what=f"answer to the flag “{word}” of {day(flag.flagged_on)}",
            who=flag.by,
        )
