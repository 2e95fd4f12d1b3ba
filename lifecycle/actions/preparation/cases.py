"""Case readiness, the light proof with a dummy, and the way to the case."""

from dataclasses import dataclass, fields
from datetime import date, datetime
from decimal import Decimal

from django.db import transaction

from lifecycle.actions.preparation.rights import allow_one_of
from lifecycle.actions.refusals import Conflict, Reason, Refused
from lifecycle.process.case_state import CURE_DAYS, CaseState, cures_too_short
from lifecycle.process.days import day_words
from lifecycle.process.rights import Deed, SubjectFacts
from lifecycle.process.stages import Role
from lifecycle.queries.changes import who_saved
from lifecycle.queries.preparation.cases import lines_of
from lifecycle.queries.preparation.ceilings import ceiling_of
from lifecycle.queries.rights import about_showing, museum_day, place_chain
from lifecycle.queries.treatment.consenting import clock_at
from lifecycle.records.models.exhibitions import Exhibition
from lifecycle.records.models.light import Instrument
from lifecycle.records.models.people import Person
from lifecycle.records.models.pictures import Document
from lifecycle.records.models.places import Place, ReadingPoint
from lifecycle.records.models.preparation import CaseReadiness, LightProof, RouteCheck
from lifecycle.records.models.showings import Showing

CASE_TEXTS = ("materials_note", "test_result", "lamps", "locks")


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseMade:
    """What is known of the case. Mass in kg, relative humidity in %."""

    construction_done_on: date | None = None
    construction_done_by: str = ""
    cleaned_on: date | None = None
    cleaned_by: str = ""
    materials_note: str = ""
    cure_until: date | None = None
    cure_because: str = ""
    buffer_kind: str = ""
    buffer_mass_kg: Decimal | None = None
    buffer_target_rh: Decimal | None = None
    buffer_conditioned_on: date | None = None
    buffer_renew_by: date | None = None
    test_logger: str = ""
    test_from: datetime | None = None
    test_to: datetime | None = None
    test_result: str = ""
    test_outside: bool | None = None
    lamps: str = ""
    without_lamps: bool = False
    captions_clear: bool = False
    locks: str = ""
    layout: Document | None = None


def about_case(exhibition: Exhibition, place: Place) -> SubjectFacts:
    return SubjectFacts(exhibition_id=exhibition.pk, place_ids=place_chain(place))


@transaction.atomic
def write_case(
    *,
    by: Person,
    role: Role,
    at: datetime,
    place: Place,
    exhibition: Exhibition,
    edition: int,
    made: CaseMade,
) -> CaseReadiness:
    """Write how far a case is. A change takes 'ready' back: it is said again by a person.

    :raises Conflict: if somebody saved meanwhile
    :raises Refused: if days are out of order or lie ahead
    """
    about = about_case(exhibition, place)
    allow_one_of(by=by, role=role, deeds=(Deed.PREPARE,), at=at, about=about)
    Exhibition.objects.select_for_update().get(pk=exhibition.pk)
    held = CaseReadiness.objects.filter(place=place, exhibition=exhibition).first()
    if held is not None and held.edition != edition:
        who = who_saved(held)
        raise Conflict(
            f"{who} saved the readiness of {place} while you were writing. Nothing is lost.",
            theirs={name: getattr(held, name) for name in CASE_TEXTS},
            mine={name: getattr(made, name) for name in CASE_TEXTS},
            by=who,
            version=held.edition,
        )
    today = museum_day(at)
    reasons = []
    for name in ("construction_done_on", "cleaned_on", "buffer_conditioned_on"):
        value = getattr(made, name)
        if value is not None and value > today:
            reasons.append(Reason("What is done can't lie in the future.", name))
    built, cleaned = made.construction_done_on, made.cleaned_on
    if built and cleaned and cleaned < built:
        text = "Cleaned before building was finished: clean again afterwards."
        reasons.append(Reason(text, "cleaned_on"))
    if cleaned and not built:
        text = "Building work is finished before a case is cleaned: give its day."
        reasons.append(Reason(text, "construction_done_on"))
    least = cures_too_short(
        CaseState(
            built_on=built,
            materials=made.materials_note.strip(),
            cure_until=made.cure_until,
            cure_because=made.cure_because.strip(),
        )
    )
    if least is not None:
        text = (
            f"Sealants and finishes cure {CURE_DAYS} days at least, until {day_words(least)} here: "
            "give a later day, or say whose data sheet asks for less."
        )
        reasons.append(Reason(text, "cure_because", "case.curing"))
    if made.test_from and made.test_to and made.test_to < made.test_from:
        reasons.append(Reason("The test run ends before it begins.", "test_to"))
    if made.test_to is not None and made.test_to > at:
        reasons.append(Reason("The test run has not ended yet.", "test_to"))
    if made.test_result.strip() and not (made.test_from and made.test_to and made.test_logger):
        text = "A result of the test run needs its logger, its begin and its end."
        reasons.append(Reason(text, "test_result"))
    if made.test_outside is not None and not made.test_result.strip():
        text = "Say what the test run measured before you judge it."
        reasons.append(Reason(text, "test_result"))
    if made.buffer_target_rh is not None and not 0 < made.buffer_target_rh < 100:
        reasons.append(Reason("Relative humidity lies between 0 and 100 %.", "buffer_target_rh"))
    if made.buffer_mass_kg is not None and made.buffer_mass_kg <= 0:
        reasons.append(Reason("The mass of the buffer is more than nothing.", "buffer_mass_kg"))
    if reasons:
        raise Refused(reasons)
    held = held or CaseReadiness(place=place, exhibition=exhibition, edition=0)
    for field in fields(made):
        setattr(held, field.name, getattr(made, field.name))
    held.edition += 1
    held.ready_by = held.ready_at = None
    return held.keep(by=by, role=role, why="case readiness written", at=at)


@transaction.atomic
def say_case_ready(*, by: Person, role: Role, at: datetime, case: CaseReadiness) -> CaseReadiness:
    """Say that the case is ready, as exhibition manager or conservator.

    :raises Refused: with everything that is not done
    """
    held = (
        CaseReadiness.objects.select_for_update(of=("self",))
        .select_related("place", "exhibition", "layout")
        .get(pk=case.pk)
    )
    about = about_case(held.exhibition, held.place)
    allow_one_of(by=by, role=role, deeds=(Deed.PREPARE,), at=at, about=about)
    reasons = [
        Reason(f"{held.place}, {line.label}: {line.text}.", line.field, line.code)
        for line in lines_of(held, clock_at(at))
        if line.is_open
    ]
    if held.ready_at is not None:
        reasons.append(Reason(f"{held.place} was said to be ready already."))
    if reasons:
        raise Refused(reasons)
    held.ready_by, held.ready_at = by, at
    return held.keep(by=by, role=role, why="case ready", at=at)


@transaction.atomic
def prove_light(
    *,
    by: Person,
    role: Role,
    at: datetime,
    exhibition: Exhibition,
    place: Place,
    point: ReadingPoint | None,
    lux: Decimal,
    uv: Decimal | None,
    instrument: Instrument,
    with_dummy: bool,
    lamp_state: str,
    observed_at: datetime,
    observed_by: Person | None = None,
) -> LightProof:
    """Record light [lx] and UV [µW/lm] measured with a dummy, beside the ceiling that binds there.

    A value above the ceiling is a true reading and is kept; the gate stays shut until a later
    proof lies under it.

    :raises Refused: if the value or the time can't be true, or the point is of another place
    """
    about = about_case(exhibition, place)
    allow_one_of(by=by, role=role, deeds=(Deed.READ_LIGHT, Deed.PREPARE), at=at, about=about)
    reasons = []
    if lux < 0:
        reasons.append(Reason("Light can't be below nothing.", "lux"))
    if uv is not None and uv < 0:
        reasons.append(Reason("UV can't be below nothing.", "uv"))
    if observed_at > at:
        reasons.append(Reason("It can't have been measured in the future.", "observed_at"))
    if point is not None and point.place_id != place.pk:
        reasons.append(Reason(f"Point {point} is not a point of {place}.", "point"))
    if not lamp_state.strip():
        text = "Say how the lamps stood; a reading is valid only for that."
        reasons.append(Reason(text, "lamp_state"))
    if reasons:
        raise Refused(reasons)
    ceiling = ceiling_of(exhibition, place, at)
    return LightProof(
        exhibition=exhibition,
        place=place,
        point=point,
        lux=lux,
        uv=uv,
        instrument=instrument,
        with_dummy=with_dummy,
        lamp_state=lamp_state.strip(),
        ceiling_lux=ceiling.lux,
        ceiling_uv=ceiling.uv,
        ceiling_because=ceiling.because,
        observed_at=observed_at,
        observed_by=observed_by or by,
        entered_at=at,
        entered_by=by,
    ).append()


@transaction.atomic
def check_route(
    *,
    by: Person,
    role: Role,
    at: datetime,
    showing: Showing,
    to_place: Place,
    people: int,
    equipment: str,
    doors_lifts: str,
    hazards_read: bool,
    observed_at: datetime,
    observed_by: Person | None = None,
) -> RouteCheck:
    """Record that the way was walked and what it takes.

    :raises Refused: if the hazards were not read, or the way is not described
    """
    deeds = (Deed.HANDLE, Deed.REGISTER, Deed.SCHEDULE)
    allow_one_of(by=by, role=role, deeds=deeds, at=at, about=about_showing(showing))
    reasons = []
    if not 1 <= people <= 20:
        reasons.append(Reason("Between 1 and 20 people.", "people"))
    if not equipment.strip():
        reasons.append(Reason("Name the equipment, or say that hands are enough.", "equipment"))
    if not doors_lifts.strip():
        reasons.append(Reason("Say which doors, lifts and steps lie on the way.", "doors_lifts"))
    if not hazards_read:
        number = showing.museum_object.object_number
        text = f"Read the hazards of {number} before anybody carries it."
        reasons.append(Reason(text, "hazards_read", "route.hazards"))
    if observed_at > at:
        reasons.append(Reason("The way can't have been walked in the future.", "observed_at"))
    if reasons:
        raise Refused(reasons)
    return RouteCheck(
        showing=showing,
        from_place=showing.museum_object.current_location,
        to_place=to_place,
        people=people,
        equipment=equipment.strip(),
        doors_lifts=doors_lifts.strip(),
        hazards_read=hazards_read,
        observed_at=observed_at,
        observed_by=observed_by or by,
        entered_at=at,
        entered_by=by,
    ).append()
