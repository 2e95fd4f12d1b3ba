"""Rows to the words of the reading sheet of a gallery, a room or a case."""

from collections.abc import Sequence
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
from lifecycle.papers.words.parts import PictureWords, PlanWords, SpotWords
from lifecycle.papers.words.reading_sheet import PointToRead, ReadingSheetWords
from lifecycle.process.cautions import CautionFor
from lifecycle.process.words import Hazard
from lifecycle.queries.light.points import (
    PointLine,
    hazard_words_of,
    hazards_shown_in,
    points_in,
)
from lifecycle.queries.plans import PlanOnRecord, Spot, plans_with
from lifecycle.records.models import Instrument, Place, ReadingPoint
from lifecycle.records.models.light import InstrumentKind

LAMPS = "Set the lamps to show state, as for visitors, before the first reading."


def reading_sheet_words(place: Place, at: datetime) -> ReadingSheetWords:
    """Its words, in a fixed number of queries. ValueError where there is no point to read."""
    of_house = house()
    points = points_in(place, at)
    if not points:
        raise ValueError(
            f"{place.name} has no reading point and nothing on display: fix a point first."
        )
    fixed = [one.point for one in points if one.point is not None]
    plans = plans_with(fixed)
    labels = {spot.point.pk: spot.label for plan in plans for spot in plan.spots}
    hazards = hazards_shown_in(place)
    return ReadingSheetWords(
        institution=of_house.name,
        place=place.name,
        code=place.code,
        within=place_path(place, within_building=True),
        lamps=LAMPS,
        points=tuple(_point(one, of_house, labels) for one in points),
        meters=tuple(_meters()) or ("none on record",),
        hazard_line=hazard_words_of(hazards),
        hazardous=bool(set(hazards) - {Hazard.NONE_KNOWN}),
        cautions=caution_lines(hazards, CautionFor.READ_LIGHT),
        plans=tuple(plan_words(plan, plan.of(fixed)) for plan in plans),
        plan_line=_plan_line(fixed, labels),
    )


def plan_words(plan: PlanOnRecord, spots: Sequence[Spot]) -> PlanWords:
    """A plan with some of its points in words, for paper and screen."""
    row = plan.plan
    return PlanWords(
        name=row.place.name,
        picture=PictureWords(
            sha256=row.picture.sha256, width=row.picture.width, height=row.picture.height
        ),
        spots=tuple(
            SpotWords(label=spot.label, across=spot.across, down=spot.down, key=str(spot.point.uid))
            for spot in spots
        ),
        caption=f"{row.place.name}, plan {row.number}, drawn by {row.drawn_by} on "
        f"{day(row.drawn_on)}; not for measuring.",
    )


def _plan_line(points: Sequence[ReadingPoint], labels: dict[int, str]) -> str:
    """Which points no plan shows, so that nobody looks for them there."""
    if not labels:
        return "No plan shows these points yet: each line says where its point lies."
    beside = [f"{one.place.name} {one.letter}" for one in points if one.pk not in labels]
    if not beside:
        return ""
    return f"Not on the plan, found by the words of their lines: {', '.join(beside)}."


def _point(one: PointLine, of_house: House, labels: dict[int, str]) -> PointToRead:
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
        ceiling=_ceiling(one),
        last=last,
        on_plan=labels.get(one.point.pk, "") if one.point else "",
    )


def _ceiling(one: PointLine) -> str:
    lux = "none set" if one.ceiling is None else figure(one.ceiling, "lx")
    return lux if one.uv_ceiling is None else f"{lux}\nUV {figure(one.uv_ceiling)}"


def _meters() -> list[str]:
    kinds = (InstrumentKind.LUX.value, InstrumentKind.LUX_AND_UV.value, InstrumentKind.UV.value)
    rows = Instrument.objects.filter(kind__in=kinds, retired_on=None).order_by("name", "serial")
    return [
        f"{row.name} {row.serial}, calibration due {day(row.calibration_due) or 'not set'}"
        for row in rows[:12]
    ]
