"""Rows to the words of the case conditions sheet."""

from datetime import datetime
from typing import Final

from lifecycle.papers.filling.block_o import (
    caution_lines,
    day,
    figure,
    hazards_of,
    house,
    place_path,
)
from lifecycle.papers.words.case_conditions import (
    CaseConditionsWords,
    LampWords,
    ObjectInCase,
    OpeningWords,
)
from lifecycle.process.cautions import CautionFor
from lifecycle.process.words import Hazard
from lifecycle.queries.light.case_conditions import (
    Binding,
    CaseConditions,
    Common,
    InCase,
    case_conditions,
)
from lifecycle.queries.light.points import hazard_words_of
from lifecycle.queries.preparation.lamps import lamps_of, lighting
from lifecycle.records.models import Appointment, Assessment, Lamp, Place
from lifecycle.records.models.display.rotation import AppointmentKind

#: Common practice of the trade, from memory; the house's own list and the data sheets win.
MATERIALS: Final = (
    "Nothing that gives off acids, sulphur or plasticiser: no raw or laminated wood near the "
    "object, no wool felt, no PVC, no rubber, unless the house has tested that very product.",
    "Paints, sealants and glues have cured as their data sheets say before an object comes; "
    "about three weeks are usual for sealants and finishes.",
    "Lamps and transformers stand outside the case or are parted from its air; the heat goes out, "
    "not in.",
)


def case_conditions_words(place: Place, at: datetime) -> CaseConditionsWords:
    """Its words, in a fixed number of queries. ValueError while nothing is planned inside."""
    found = case_conditions(place, at)
    if not found.inside:
        raise ValueError(f"Nothing is planned or shown in {place.name}: there is nothing to keep.")
    hazards = [
        one
        for one in Hazard
        if any(one in hazards_of(row.showing.museum_object) for row in found.inside)
    ]
    missing = ", ".join(found.not_assessed)
    return CaseConditionsWords(
        institution=house().name,
        place=place.name,
        within=place_path(place, within_building=True),
        code=place.code,
        lux=_binding(found.lux, "lx"),
        uv=_binding(found.uv, "µW/lm"),
        weeks=_binding(found.weeks, "weeks"),
        temperature=_common(found.temperature, "°C"),
        humidity=_common(found.humidity, "% RH"),
        change=_binding(found.change_24h, "% RH"),
        conflicts=tuple(_conflicts(found)),
        not_assessed=f"No signed assessment yet: {missing}. The limits may get stricter."
        if missing
        else "",
        objects=tuple(_object(one) for one in found.inside),
        clauses=tuple(
            dict.fromkeys(
                f"{one.showing.museum_object.object_number}: {text}"
                for one in found.inside
                for text in one.clauses
            )
        ),
        materials=MATERIALS,
        used=found.readiness.materials_note if found.readiness else "",
        openings=tuple(_opening(row) for row in found.openings),
        lamps=tuple(_lamp(row) for row in lamps_of(lighting(place)) if row.taken_out_at is None),
        hazard_line=hazard_words_of(hazards),
        hazardous=bool(set(hazards) - {Hazard.NONE_KNOWN}),
        cautions=caution_lines(hazards, CautionFor.READ_LIGHT),
    )


def _conflicts(found: CaseConditions) -> list[str]:
    bands = (found.temperature, found.humidity)
    return [band.conflict for band in bands if band is not None and band.conflict]


def _binding(found: Binding | None, unit: str) -> str:
    if found is None:
        return "nobody sets one yet"
    others = f"; {', '.join(found.others)}" if found.others else ""
    return f"{figure(found.value, unit)}, set by {', '.join(found.set_by)}{others}"


def _common(found: Common | None, unit: str) -> str:
    if found is None:
        return "nobody sets one yet"
    if found.conflict:
        return "no band suits all: see below"
    return _band(found.low, found.high, unit)


def _band(low: object, high: object, unit: str) -> str:
    if low is None:
        return f"at most {figure(high, unit)}"  # type: ignore[arg-type]
    if high is None:
        return f"at least {figure(low, unit)}"  # type: ignore[arg-type]
    return f"{figure(low)} to {figure(high, unit)}"  # type: ignore[arg-type]


def _object(one: InCase) -> ObjectInCase:
    showing, thing = one.showing, one.showing.museum_object
    light = [figure(one.lux, "lx"), figure(one.uv, "µW/lm")]
    hazards = [hazard.label for hazard in hazards_of(thing) if hazard is not Hazard.NONE_KNOWN]
    return ObjectInCase(
        object_number=thing.object_number,
        title=thing.title,
        exhibition=showing.exhibition.short,
        days=f"{day(showing.show_from)} to {day(showing.show_to)}",
        light="\n".join(part for part in light if part) or "not set",
        air=_air(one.conditions),
        support=_support(one.conditions),
        hazards=", ".join(hazards) or "none known",
    )


def _air(said: Assessment | None) -> str:
    if said is None:
        return "not assessed"
    parts = []
    if said.rh_min is not None or said.rh_max is not None:
        parts.append(_band(said.rh_min, said.rh_max, "% RH"))
    if said.t_min_c is not None or said.t_max_c is not None:
        parts.append(_band(said.t_min_c, said.t_max_c, "°C"))
    return "\n".join(parts) or "as the house keeps it"


def _support(said: Assessment | None) -> str:
    if said is None:
        return "not assessed"
    parts = [said.support_rule.strip(), said.glazing.strip()]
    if said.max_opening_angle:
        parts.append(f"open at most {said.max_opening_angle}°")
    if said.must_be_cased:
        parts.append("in a closed case")
    return "\n".join(part for part in parts if part)


def _lamp(row: Lamp) -> LampWords:
    kind = [row.get_kind_display(), row.type_text, figure(row.power_w, "W"), row.filter]
    return LampWords(
        name=row.name,
        where=f"{row.place.name}, {row.position}; {row.get_where_display()}",
        kind=", ".join(part for part in kind if part) + ("; hot when lit" if row.hot else ""),
        uv=figure(row.uv, "µW/lm") or "not known",
        distance=figure(row.distance_mm, "mm"),
        level=figure(row.dim_percent, "%"),
        aim=row.aim,
    )


def _opening(row: Appointment) -> OpeningWords:
    objects = [row.showing.museum_object.object_number]
    if row.other_showing is not None:
        objects.append(row.other_showing.museum_object.object_number)
    return OpeningWords(
        day=day(row.day) + (f", {row.slot:%H:%M}" if row.slot else ""),
        what=AppointmentKind(row.kind).label,
        objects=", ".join(objects),
    )
