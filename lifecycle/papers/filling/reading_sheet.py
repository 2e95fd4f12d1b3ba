"""Rows to the words of the reading sheet of a gallery, a room or a case."""

from datetime import datetime

from lifecycle.papers.filling.block_o import (
    House,
    caution_lines,
    day,
    figure,
    house,
    picture_words,
    place_path,
)
from lifecycle.papers.words.reading_sheet import PointToRead, ReadingSheetWords
from lifecycle.process.cautions import CautionFor
from lifecycle.process.words import Hazard
from lifecycle.queries.light.points import (
    PointLine,
    hazard_words_of,
    hazards_shown_in,
    points_in,
)
from lifecycle.records.models import Instrument, Place
from lifecycle.records.models.light import InstrumentKind

LAMPS = "Set the lamps to show state, as for visitors, before the first reading."


def reading_sheet_words(place: Place, at: datetime) -> ReadingSheetWords:
    """The words of P14; a fixed number of queries. ValueError where there is no point to read."""
    of_house = house()
    points = points_in(place, at)
    if not points:
        raise ValueError(
            f"{place.name} has no reading point and nothing on display: fix a point first."
        )
    hazards = hazards_shown_in(place)
    return ReadingSheetWords(
        institution=of_house.name,
        place=place.name,
        code=place.code,
        within=place_path(place, within_building=True),
        lamps=LAMPS,
        points=tuple(_point(one, of_house) for one in points),
        meters=tuple(_meters()) or ("none on record",),
        hazard_line=hazard_words_of(hazards),
        hazardous=bool(set(hazards) - {Hazard.NONE_KNOWN}),
        cautions=caution_lines(hazards, CautionFor.READ_LIGHT),
    )


def _point(one: PointLine, of_house: House) -> PointToRead:
    inside = "" if one.place.pk == one.case.pk else f"{one.place.name}, "
    last = "never read"
    if one.last is not None:
        uv = "" if one.last.uv is None else f", UV {figure(one.last.uv)}"
        last = f"{figure(one.last.lux, 'lx')}{uv}\n{of_house.moment(one.last.read_at)}"
    return PointToRead(
        case=one.case.name,
        point=f"{inside}point {one.point.letter}" if one.point else f"{inside}no fixed point",
        label=one.point.label if one.point else "beside the object, facing as it does",
        picture=picture_words(one.point.photo) if one.point else None,
        ceiling="none set" if one.ceiling is None else figure(one.ceiling, "lx"),
        last=last,
    )


def _meters() -> list[str]:
    kinds = (InstrumentKind.LUX.value, InstrumentKind.LUX_AND_UV.value, InstrumentKind.UV.value)
    rows = Instrument.objects.filter(kind__in=kinds, retired_on=None).order_by("name", "serial")
    return [
        f"{row.name} {row.serial}, calibration due {day(row.calibration_due) or 'not set'}"
        for row in rows[:12]
    ]
