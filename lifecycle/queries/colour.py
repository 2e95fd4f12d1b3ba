"""Colour spots through time: each date's mean and repeatability, and what changed between dates."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace

from lifecycle.records.models import (
    ColourMeasurement,
    ColourReading,
    ColourSpot,
    Face,
    MuseumObject,
    Picture,
)
from lifecycle.science.colour import Difference, Lab, centre, difference, repeatability


@dataclass(frozen=True, slots=True, kw_only=True)
class Dated:
    """One date of a spot, against the first date and the one before that can be compared."""

    row: ColourMeasurement
    readings: tuple[Lab, ...]
    since_first: Difference | None = None
    since_before: Difference | None = None
    first: ColourMeasurement | None = None
    before: ColourMeasurement | None = None
    apart: str = ""
    """Why it is compared with nothing; empty where it is, or is the first."""

    @property
    def mean(self) -> Lab:
        return centre(self.readings)

    @property
    def repeatability(self) -> float | None:
        return repeatability(self.readings)

    @property
    def stated(self) -> list[float]:
        known = self.row.stated_repeatability
        return [] if known is None else [float(known)]


@dataclass(frozen=True, slots=True, kw_only=True)
class SpotSeries:
    """A spot with its dates, the oldest first."""

    spot: ColourSpot
    dates: tuple[Dated, ...]

    @property
    def last(self) -> Dated | None:
        return self.dates[-1] if self.dates else None


@dataclass(frozen=True, slots=True, kw_only=True)
class FaceSpots:
    """The spots of one face, and the picture they are drawn on."""

    face: Face
    picture: Picture | None
    series: tuple[SpotSeries, ...]


def spots_of(museum_object: MuseumObject) -> tuple[FaceSpots, ...]:
    """Return the spots of an object, face by face; three queries whatever their number."""
    spots = list(
        ColourSpot.objects.filter(museum_object=museum_object)
        .select_related("face__thumbnail", "picture")
        .order_by("face__order", "face", "number")
    )
    measurements: dict[int, list[ColourMeasurement]] = defaultdict(list)
    rows = ColourMeasurement.objects.filter(spot__in=spots, struck_at=None)
    for row in rows.select_related("instrument", "measured_by").order_by("measured_at", "pk"):
        measurements[row.spot_id].append(row)
    readings: dict[int, list[Lab]] = defaultdict(list)
    repeats = ColourReading.objects.filter(measurement__spot__in=spots, measurement__struck_at=None)
    for one in repeats.order_by("measurement", "nth"):
        lab = Lab(float(one.l_star), float(one.a_star), float(one.b_star))
        readings[one.measurement_id].append(lab)
    by_face: dict[int, list[SpotSeries]] = defaultdict(list)
    for spot in spots:
        dates = series_of(measurements[spot.pk], readings)
        by_face[spot.face_id].append(SpotSeries(spot=spot, dates=dates))
    found = []
    for series in by_face.values():
        face = series[0].spot.face
        pictures = [one.spot.picture for one in series if one.spot.picture is not None]
        picture = pictures[-1] if pictures else face.thumbnail
        found.append(FaceSpots(face=face, picture=picture, series=tuple(series)))
    return tuple(found)


def settings_of(row: ColourMeasurement) -> dict[str, object]:
    """What has to be the same for two dates to be compared, by its name in words."""
    return {
        "instrument": row.instrument_id,
        "geometry": row.geometry,
        "aperture": row.aperture_mm,
        "illuminant": row.illuminant,
        "observer": row.observer,
    }


def series_of(
    rows: Sequence[ColourMeasurement], readings: dict[int, list[Lab]]
) -> tuple[Dated, ...]:
    """Compare each date with the first and the last one read in the same way."""
    found: list[Dated] = []
    alike: dict[tuple[object, ...], list[Dated]] = defaultdict(list)
    for row in rows:
        own = tuple(readings.get(row.pk, ()))
        if not own:
            continue
        earlier = alike[tuple(settings_of(row).values())]
        dated = Dated(row=row, readings=own)
        if earlier:
            first, before = earlier[0], earlier[-1]
            dated = replace(
                dated,
                first=first.row,
                before=before.row,
                since_first=_between(first, dated),
                since_before=_between(before, dated),
            )
        elif found:
            dated = replace(dated, apart=_apart(found[-1].row, row))
        earlier.append(dated)
        found.append(dated)
    return tuple(found)


def _between(before: Dated, after: Dated) -> Difference:
    return difference(before.readings, after.readings, stated=[*before.stated, *after.stated])


def _apart(before: ColourMeasurement, after: ColourMeasurement) -> str:
    """In which setting two dates differ, so that no figure is given."""
    now = settings_of(after)
    other = [name for name, value in settings_of(before).items() if value != now[name]]
    return f"not compared: other {', '.join(other)} than before"
