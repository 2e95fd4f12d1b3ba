"""Colour spots: lay one out, read it with repeats, bring in a file of readings, strike a visit."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Final

from django.db import transaction
from django.db.models import Max

from lifecycle.actions.allowing import allow
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.queries.rights import about_object, museum_day
from lifecycle.records.models import (
    ColourMeasurement,
    ColourReading,
    ColourSpot,
    Face,
    Instrument,
    MuseumObject,
    Person,
    Picture,
)
from lifecycle.records.models.colour import Geometry, Illuminant, Observer
from lifecycle.records.models.light import InstrumentKind

MOST_REPEATS: Final = 20
Triple = tuple[Decimal, Decimal, Decimal]


@dataclass(frozen=True, slots=True, kw_only=True)
class SpotLaid:
    """A spot on a face: place in percent of the picture from its top left corner."""

    face: Face
    what: str
    left: Decimal
    top: Decimal
    template: str
    picture: Picture | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """One visit with its repeats, L*, a*, b* each."""

    spot: ColourSpot
    instrument: Instrument
    geometry: Geometry
    aperture_mm: Decimal
    illuminant: Illuminant
    observer: Observer
    measured_at: datetime
    readings: Sequence[Triple]
    stated_repeatability: Decimal | None = None
    source: str = "typed"
    note: str = ""


@transaction.atomic
def lay_out_spot(*, laid: SpotLaid, by: Person, role: Role, at: datetime) -> ColourSpot:
    """Give a spot the object's next number, which stays for life.

    :raises Refused: no word on what is read or on the template, a place off the picture, a
        picture of another face
    """
    thing = MuseumObject.objects.select_for_update(of=("self",)).get(pk=laid.face.museum_object_id)
    allow(by=by, role=role, deed=Deed.EXAMINE, at=at, about=about_object(thing))
    reasons = []
    if not laid.what.strip():
        reasons.append(Reason("Say what is read: which colour, of what.", "what", "colour.spot"))
    if not laid.template.strip():
        text = "Say what the template is and what it is held to: the spot must be found again."
        reasons.append(Reason(text, "template", "colour.spot"))
    if not (0 <= laid.left <= 100 and 0 <= laid.top <= 100):
        text = "The spot lies on the picture: percent from 0 to 100."
        reasons.append(Reason(text, "box_left", "colour.spot"))
    if laid.picture is not None and laid.picture.face_id not in {None, laid.face.pk}:
        text = f"This picture shows another face than “{laid.face.label}”."
        reasons.append(Reason(text, "picture", "colour.spot"))
    if reasons:
        raise Refused(reasons)
    last = ColourSpot.objects.filter(museum_object=thing).aggregate(last=Max("number"))["last"] or 0
    return ColourSpot(
        museum_object=thing,
        face=laid.face,
        number=last + 1,
        what=laid.what.strip(),
        picture=laid.picture,
        box_left=laid.left,
        box_top=laid.top,
        template=laid.template.strip(),
    ).keep(by=by, role=role, why="colour spot laid out", at=at)


@transaction.atomic
def give_up_spot(*, spot: ColourSpot, why: str, by: Person, role: Role, at: datetime) -> ColourSpot:
    """Read a spot no longer; what was read stays, and its number is not used again."""
    kept = _locked(spot, by=by, role=role, at=at)
    if not why.strip():
        raise Refused(Reason("Say why it is read no longer.", "why", "colour.why"))
    kept.given_up_at, kept.given_up_reason = at, why.strip()
    return kept.keep(by=by, role=role, why=why.strip(), at=at)


@transaction.atomic
def keep_measurement(
    *, measured: Measured, by: Person, role: Role, at: datetime
) -> ColourMeasurement:
    """Keep one visit to a spot with its repeats.

    :raises Refused: everything that stands against it, each beside its field
    """
    spot = _locked(measured.spot, by=by, role=role, at=at)
    if reasons := list(_faults(spot, measured, at)):
        raise Refused(reasons)
    row = ColourMeasurement(
        spot=spot,
        instrument=measured.instrument,
        geometry=measured.geometry,
        aperture_mm=measured.aperture_mm,
        illuminant=measured.illuminant,
        observer=measured.observer,
        stated_repeatability=measured.stated_repeatability,
        measured_at=measured.measured_at,
        measured_by=by,
        entered_at=at,
        source=measured.source,
        note=measured.note.strip(),
    ).keep(by=by, role=role, why="colour read", at=at)
    for nth, (light, green_red, blue_yellow) in enumerate(measured.readings, start=1):
        ColourReading(
            measurement=row,
            nth=nth,
            l_star=light,
            a_star=green_red,
            b_star=blue_yellow,
            entered_by=by,
            entered_role=role,
        ).append()
    return row


@transaction.atomic
def bring_in_readings(
    *, visits: Sequence[tuple[Sequence[int], Measured]], by: Person, role: Role, at: datetime
) -> list[ColourMeasurement]:
    """Keep the visits of a file, all or none; each comes with the numbers of its lines.

    :raises Refused: no visit, or the reasons of every visit that can't be kept, by its lines
    """
    rows, reasons = [], []
    for numbers, measured in visits:
        try:
            rows.append(keep_measurement(measured=measured, by=by, role=role, at=at))
        except Refused as refused:
            where = f"Line {numbers[0]}" if len(numbers) == 1 else f"Lines {_joined(numbers)}"
            reasons += [Reason(f"{where}: {one.text}", "text") for one in refused.reasons]
    if not visits:
        reasons.append(Reason("No line of the file holds a reading.", "text"))
    if reasons:
        raise Refused(reasons)
    return rows


def _joined(numbers: Sequence[int]) -> str:
    return f"{', '.join(str(one) for one in numbers[:-1])} and {numbers[-1]}"


@transaction.atomic
def strike_measurement(
    *, row: ColourMeasurement, why: str, by: Person, role: Role, at: datetime
) -> ColourMeasurement:
    """Strike a visit that was entered in error; it stays on record with its reason."""
    _locked(row.spot, by=by, role=role, at=at)
    kept = ColourMeasurement.objects.select_for_update(of=("self",)).get(pk=row.pk)
    if kept.struck_at is not None:
        raise Refused(f"It was struck already: {kept.struck_reason}")
    if not why.strip():
        raise Refused(Reason("Say why it is struck.", "why", "colour.why"))
    kept.struck_at, kept.struck_reason = at, why.strip()
    return kept.keep(by=by, role=role, why=why.strip(), at=at)


def _locked(spot: ColourSpot, *, by: Person, role: Role, at: datetime) -> ColourSpot:
    kept = (
        ColourSpot.objects.select_for_update(of=("self",))
        .select_related("museum_object", "face")
        .get(pk=spot.pk)
    )
    allow(by=by, role=role, deed=Deed.EXAMINE, at=at, about=about_object(kept.museum_object))
    return kept


def _faults(spot: ColourSpot, measured: Measured, at: datetime) -> Iterator[Reason]:
    if spot.given_up_at is not None:
        yield Reason(f"{spot} is read no longer: {spot.given_up_reason}", "spot", "colour.given_up")
    if measured.instrument.kind != InstrumentKind.COLOUR:
        text = (
            f"{measured.instrument} is a {InstrumentKind(measured.instrument.kind).label}: "
            "colour is read with a colour instrument."
        )
        yield Reason(text, "instrument", "colour.instrument")
    retired = measured.instrument.retired_on
    if retired is not None and retired <= museum_day(measured.measured_at):
        text = f"{measured.instrument} was out of use by then."
        yield Reason(text, "instrument", "colour.instrument")
    if measured.measured_at > at:
        yield Reason("This moment is still to come.", "measured_at", "colour.future")
    if not 1 <= len(measured.readings) <= MOST_REPEATS:
        text = f"Between 1 and {MOST_REPEATS} readings; three to five are usual."
        yield Reason(text, "readings", "colour.readings")
    for nth, (light, green_red, blue_yellow) in enumerate(measured.readings, start=1):
        if not 0 <= light <= 100:
            text = f"Reading {nth}: L* runs from 0 to 100, and {light} is no L*."
            yield Reason(text, "readings", "colour.units")
        if max(abs(green_red), abs(blue_yellow)) > 150:
            text = f"Reading {nth}: a* and b* lie within 150 on either side of nought."
            yield Reason(text, "readings", "colour.units")
    if measured.readings and all(max(map(abs, one)) <= 1 for one in measured.readings):
        text = "All figures are between -1 and 1: these look like X, Y, Z or R, G, B, not L*a*b*."
        yield Reason(text, "readings", "colour.units")
    if measured.aperture_mm <= 0:
        yield Reason("The aperture is more than 0 mm.", "aperture_mm", "colour.aperture")
    stated = measured.stated_repeatability
    if stated is not None and stated < 0:
        yield Reason("A repeatability is 0 or more.", "stated_repeatability", "colour.stated")
    if ColourMeasurement.objects.filter(
        spot=spot,
        instrument=measured.instrument,
        measured_at=measured.measured_at,
        struck_at=None,
    ).exists():
        text = f"{spot} was read with this instrument at this moment already."
        yield Reason(text, "measured_at", "colour.twice")
