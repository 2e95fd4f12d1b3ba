"""Light readings: taken at a fixed point, asked about once when odd, corrected by a new row."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime
from decimal import ROUND_HALF_UP, Decimal
from typing import Final

from django.db import transaction
from django.db.models import Min

from lifecycle.actions.allowing import allow
from lifecycle.actions.light.telling import far_above, tell_of_light
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.planning.lit_hours import LampState
from lifecycle.process.minutes import before
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.queries.jobs_of import job_person_ids
from lifecycle.queries.light.oddness import Usual, last_uv_at, usual_at
from lifecycle.queries.rights import about_light_at, museum_day, person_facts, place_chain
from lifecycle.records.models import (
    Face,
    Instrument,
    LightReading,
    Person,
    Place,
    ReadingPoint,
    Showing,
)
from lifecycle.records.models.light import TENTH, InstrumentKind

MOST_LUX, MOST_UV = Decimal("99999.9"), Decimal(5000)
LUX_METERS: Final = frozenset({InstrumentKind.LUX, InstrumentKind.LUX_AND_UV})
#: UV this near to the last reading is a meter's own spread [µW/lm]; the figure is ours.
UV_MARGIN: Final = Decimal(10)


def _tenth(value: Decimal) -> Decimal:
    return value.quantize(TENTH, rounding=ROUND_HALF_UP)


def _faults(
    *,
    place: Place,
    lux: Decimal,
    uv: Decimal | None,
    read_at: datetime,
    at: datetime,
    point: ReadingPoint | None,
    instrument: Instrument | None,
    face: Face | None,
    showing: Showing | None,
) -> Iterator[Reason]:
    if not lux.is_finite() or lux < 0 or lux > MOST_LUX:
        yield Reason(f"Illuminance lies between 0 and {MOST_LUX} lx; {lux} was entered.", "lux")
    if uv is not None and (not uv.is_finite() or uv < 0 or uv > MOST_UV):
        yield Reason(f"UV lies between 0 and {MOST_UV} µW/lm; {uv} was entered.", "uv")
    if read_at > at:
        yield Reason("The time of the reading lies in the future: enter when it was.", "read_at")
    if place.closed_on is not None and place.closed_on <= museum_day(read_at):
        yield Reason(f"{place.name} was closed by then: choose a place in use.", "place")
    if point is not None and point.place_id not in place_chain(place):
        text = f"Point {point.letter} belongs to another place than {place.name}: choose its own."
        yield Reason(text, "point")
    if instrument is not None and instrument.kind not in LUX_METERS:
        text = f"{instrument.name or instrument.serial} measures no lux: choose a lux meter."
        yield Reason(text, "instrument")
    if instrument is not None and instrument.retired_on is not None:
        text = f"{instrument.name or instrument.serial} is out of use: choose another meter."
        yield Reason(text, "instrument")
    up_since = None if showing is None else _up_since(showing)
    if up_since is not None and before(read_at, up_since):
        text = (
            "The object was put up after this reading: it is a reading of the place alone. Check "
            "the time, or read it without the object."
        )
        yield Reason(text, "read_at", "reading.before_install")
    of_object = None if showing is None else showing.museum_object_id
    if face is not None and of_object not in (None, face.museum_object_id):
        yield Reason("That face is another object's: choose a face of this one.", "face")


def _up_since(showing: Showing) -> datetime | None:
    rows = showing.display_periods.filter(struck_at=None)
    found: datetime | None = rows.aggregate(first=Min("opened_at"))["first"]
    return found


def _is_volunteer(person: Person, role: Role, by: Person, at: datetime) -> bool:
    """Whether the one who read is a volunteer or attendant and nothing more."""
    if person.pk == by.pk:
        return role is Role.ATTENDANT
    roles = person_facts(person, at).roles
    return bool(roles) and roles <= {Role.ATTENDANT}


def _odd(lux: Decimal, state: LampState, usual: Usual) -> str:
    """Return the question an odd value is asked with, or nothing."""
    if state is not LampState.SHOW:
        return ""
    if usual.ceiling is not None and far_above(lux, usual.ceiling):
        return f"{lux} lx is half as much again as the ceiling of {usual.ceiling} lx, or more"
    last = usual.last
    if last is None or abs(lux - last) < 5:
        return ""
    if lux > 2 * last or 2 * lux < last:
        return f"{lux} lx is far from the last reading here, {last} lx"
    return ""


def _far_above_uv(uv: Decimal, ceiling: int) -> bool:
    return far_above(uv, ceiling) and uv - ceiling >= UV_MARGIN


def _odd_uv(uv: Decimal | None, last: Decimal | None, state: LampState, usual: Usual) -> str:
    """Return the question for UV [µW/lm] far above the ceiling or far from what was read last.

    It may be a filter that is lost, or a slip of the pen.
    """
    ceiling = usual.uv_ceiling if state is LampState.SHOW else None
    if uv is not None and ceiling is not None and _far_above_uv(uv, ceiling):
        return f"{uv} µW/lm is half as much again as the UV ceiling of {ceiling} µW/lm, or more"
    if uv is None or last is None or abs(uv - last) < UV_MARGIN:
        return ""
    if uv > 2 * last or 2 * uv < last:
        return f"{uv} µW/lm is far from the last UV reading here, {last} µW/lm"
    return ""


@transaction.atomic
def take_reading(
    *,
    by: Person,
    role: Role,
    at: datetime,
    place: Place,
    lux: Decimal,
    read_at: datetime,
    point: ReadingPoint | None,
    instrument: Instrument | None,
    uv: Decimal | None = None,
    lamp_state: LampState = LampState.SHOW,
    face: Face | None = None,
    showing: Showing | None = None,
    read_by: Person | None = None,
    note: str = "",
    sure: bool = False,
    at_take_down: bool = False,
) -> LightReading:
    """Keep one reading [lx], [µW/lm] as the meter showed it; its correction factor is applied here.

    An odd value is asked about once: without ``sure`` it is refused with code ``reading.odd``, with
    it the reading is kept and marked. A true reading is never refused. A reading made after the
    meter's calibration was due is kept and marked. A volunteer's counts if meter and point are
    known.

    :raises Refused: for what can't be true, and once for an odd value
    :raises NotAllowed: if the role may not read light here
    """
    Place.objects.select_for_update().get(pk=place.pk)
    about = about_light_at(place)
    named = frozenset() if showing is None else job_person_ids([showing.pk])[showing.pk]
    about = replace(about, at_take_down=at_take_down, job_person_ids=about.job_person_ids | named)
    allow(by=by, role=role, deed=Deed.READ_LIGHT, at=at, about=about)
    lux, uv = Decimal(lux), None if uv is None else Decimal(uv)
    reader = read_by or by
    volunteer = _is_volunteer(reader, role, by, at)
    reasons = list(
        _faults(
            place=place,
            lux=lux,
            uv=uv,
            read_at=read_at,
            at=at,
            point=point,
            instrument=instrument,
            face=face,
            showing=showing,
        )
    )
    if instrument is None and not volunteer:
        reasons.append(
            Reason("Name the meter: a reading without one can't be checked.", "instrument")
        )
    if reasons:
        raise Refused(reasons)
    true_lux = _tenth(lux if instrument is None else lux * instrument.correction_factor)
    if true_lux > MOST_LUX:
        raise Refused(Reason("With the meter's correction the value is out of range.", "lux"))
    usual = usual_at(place, read_at, lamp_state)
    last_uv = None if uv is None else last_uv_at(place, read_at, lamp_state)
    asked = {
        "lux": _odd(true_lux, lamp_state, usual),
        "uv": _odd_uv(uv, last_uv, lamp_state, usual),
    }
    questions = {field: text for field, text in asked.items() if text}
    if questions and not sure:
        again = "Look at the meter again; if it is right, say so and it is kept."
        raise Refused(
            [Reason(f"{text}. {again}", field, "reading.odd") for field, text in questions.items()]
        )
    due = None if instrument is None else instrument.calibration_due
    reading = LightReading(
        place=place,
        point=point,
        face=face,
        showing=showing,
        lux=true_lux,
        shown_lux=_tenth(lux),
        uv=None if uv is None else _tenth(uv),
        instrument=instrument,
        lamp_state=lamp_state.value,
        read_at=read_at,
        read_by=reader,
        entered_at=at,
        entered_by=by,
        suspicious=bool(questions),
        meter_lapsed=due is not None and due < museum_day(read_at),
        by_volunteer=volunteer,
        counts=not volunteer or (instrument is not None and point is not None),
        note=note.strip(),
    ).append()
    tell_of_light(reading, usual, at)
    return reading


@transaction.atomic
def correct_reading(
    *,
    by: Person,
    role: Role,
    at: datetime,
    reading: LightReading,
    lux: Decimal,
    why: str,
    uv: Decimal | None = None,
) -> LightReading:
    """Write a new row that stands for a wrong one; the wrong one is kept and no longer counts.

    A value far above the ceiling is told at once here too.

    :raises Refused: if it is corrected already, without a reason, or with an impossible value
    """
    Place.objects.select_for_update().get(pk=reading.place_id)
    old = LightReading.objects.select_related("place").get(pk=reading.pk)
    allow(by=by, role=role, deed=Deed.READ_LIGHT, at=at, about=about_light_at(old.place))
    lux, uv = Decimal(lux), None if uv is None else Decimal(uv)
    reasons = list(
        _faults(
            place=old.place,
            lux=lux,
            uv=uv,
            read_at=old.read_at,
            at=at,
            point=None,
            instrument=None,
            face=None,
            showing=None,
        )
    )
    if LightReading.objects.filter(corrects=old).exists():
        reasons.append(Reason("This reading is corrected already: correct the newer row.", "lux"))
    if not why.strip():
        reasons.append(Reason("Say why the reading is corrected.", "why"))
    if reasons:
        raise Refused(reasons)
    new = LightReading(
        place=old.place,
        point=old.point,
        face=old.face,
        showing=old.showing,
        lux=_tenth(lux),
        shown_lux=_tenth(lux),
        uv=old.uv if uv is None else _tenth(uv),
        instrument=old.instrument,
        lamp_state=old.lamp_state,
        read_at=old.read_at,
        read_by=old.read_by,
        entered_at=at,
        entered_by=by,
        suspicious=False,
        meter_lapsed=old.meter_lapsed,
        by_volunteer=old.by_volunteer,
        counts=old.counts,
        corrects=old,
        why_corrected=why.strip(),
        note=old.note,
    ).append()
    tell_of_light(new, usual_at(old.place, old.read_at, LampState(old.lamp_state)), at)
    return new
