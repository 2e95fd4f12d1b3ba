"""Objects of showings: hazards, holds, companions, and where else they are promised."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, tzinfo

from django.db.models import Q

from lifecycle.process.days import day_words
from lifecycle.process.facts.objects import (
    Companion,
    HoldFacts,
    InkFacts,
    ObjectFacts,
    OtherShowing,
    PlanFace,
)
from lifecycle.process.gates.asking import YES_OF_A_KIND
from lifecycle.process.stages import CLOSED, PAST_SELECTION, Stage
from lifecycle.process.words import Answer, Hazard, PlaceKind
from lifecycle.queries.condition.ink import ink_facts
from lifecycle.queries.display.companions import case_of
from lifecycle.records.models import (
    Appointment,
    Companionship,
    DisplayPeriod,
    FaceWanted,
    Hold,
    InstallCheck,
    MovementLine,
    MuseumObject,
    ObjectHazard,
    Place,
    RequestAnswer,
    Showing,
    TakeDown,
)
from lifecycle.records.models.display.rotation import AppointmentKind, AppointmentState


def latest_answers(showing_ids: Sequence[int]) -> dict[int, RequestAnswer]:
    """Return, per showing, the last answer given to its request."""
    rows = RequestAnswer.objects.filter(showing__in=showing_ids).order_by("pk")
    return {row.showing_id: row for row in rows}


def plan_of(showing_ids: Sequence[int]) -> dict[int, tuple[PlanFace, ...]]:
    """Return, per showing, the faces of its plan in order."""
    found: dict[int, list[PlanFace]] = defaultdict(list)
    rows = FaceWanted.objects.filter(showing__in=showing_ids, struck=False)
    rows = rows.select_related("face__museum_object").order_by("showing", "order", "pk")
    for row in rows:
        face = row.face
        own, objects_class = face.sensitivity_class_id, face.museum_object.sensitivity_class_id
        found[row.showing_id].append(
            PlanFace(
                face_id=face.pk,
                label=face.label,
                order=row.order,
                from_on=row.from_on,
                until_on=row.until_on,
                must=row.must,
                never_show=face.never_show,
                never_show_reason=face.never_show_reason,
                has_class=own is not None or objects_class is not None,
            )
        )
    return {pk: tuple(faces) for pk, faces in found.items()}


def objects_of(
    showings: Sequence[Showing],
    zone: tzinfo,
    today: date,
    travel_days: int,
    confirmed: dict[int, int],
) -> dict[int, ObjectFacts]:
    """Return, per showing, its object with everything that lies on it.

    ``confirmed`` holds, per showing, the place at which somebody confirmed the object to be back.
    """
    ids = sorted({showing.museum_object_id for showing in showings})
    objects = {
        row.pk: row
        for row in MuseumObject.objects.filter(pk__in=ids).select_related(
            "lender", "current_location", "normal_location"
        )
    }
    hazards: dict[int, set[Hazard]] = defaultdict(set)
    for hazard in ObjectHazard.objects.filter(museum_object__in=ids, ended_on=None):
        hazards[hazard.museum_object_id].add(Hazard(hazard.hazard))
    holds = _holds(ids, zone)
    others = _others(ids, travel_days)
    companions = _companions(showings)
    on_the_way = set(
        MovementLine.objects.filter(
            museum_object__in=ids, open=True, movement__left_at__isnull=False
        ).values_list("museum_object_id", flat=True)
    )
    inks = ink_facts(ids, today)
    return {
        showing.pk: _object(
            objects[showing.museum_object_id],
            ink=inks.get(showing.museum_object_id, ()),
            hazards=frozenset(hazards[showing.museum_object_id]),
            holds=tuple(holds[showing.museum_object_id]),
            others=tuple(line for pk, line in others[showing.museum_object_id] if pk != showing.pk),
            companions=tuple(companions[showing.pk]),
            on_the_way=showing.museum_object_id in on_the_way,
            confirmed_at=confirmed.get(showing.pk),
        )
        for showing in showings
    }


def _object(
    row: MuseumObject,
    *,
    ink: tuple[InkFacts, ...],
    hazards: frozenset[Hazard],
    holds: tuple[HoldFacts, ...],
    others: tuple[OtherShowing, ...],
    companions: tuple[Companion, ...],
    on_the_way: bool,
    confirmed_at: int | None,
) -> ObjectFacts:
    here = row.current_location
    with_lender = here is not None and here.kind == PlaceKind.LENDER and row.lender_id is not None
    in_place = row.current_location_id is not None and row.current_location_id in (
        row.normal_location_id,
        confirmed_at,
    )
    return ObjectFacts(
        object_id=row.pk,
        uid=str(row.uid),
        number=row.object_number,
        title=row.title,
        hazards=hazards,
        lender=row.lender.name if row.lender else "",
        current_place=here.name if here else "",
        normal_place=row.normal_location.name if row.normal_location else "",
        at_home=(in_place or with_lender) and not on_the_way,
        holds=holds,
        others=others,
        companions=companions,
        ink=ink,
    )


def _holds(ids: Sequence[int], zone: tzinfo) -> dict[int, list[HoldFacts]]:
    found: dict[int, list[HoldFacts]] = defaultdict(list)
    rows = Hold.objects.filter(museum_object__in=ids, lifted_at=None).select_related("placed_by")
    for row in rows.order_by("placed_at", "pk"):
        found[row.museum_object_id].append(
            HoldFacts(
                uid=str(row.uid),
                reason=row.reason,
                placed_by=row.placed_by.full_name,
                placed_on=row.placed_at.astimezone(zone).date(),
                asks_treatment=row.asks_treatment,
            )
        )
    return found


def _others(ids: Sequence[int], travel_days: int) -> dict[int, list[tuple[int, OtherShowing]]]:
    """Every open showing of these objects that has begun; each leaves itself out later."""
    found: dict[int, list[tuple[int, OtherShowing]]] = defaultdict(list)
    rows = list(
        Showing.objects.filter(museum_object__in=ids, journal__isnull=False)
        .exclude(stage__in=sorted(CLOSED))
        .select_related("exhibition")
        .distinct()
        .order_by("show_from", "pk")
    )
    answers = latest_answers([row.pk for row in rows])
    for row in rows:
        answer = answers.get(row.pk)
        past = row.stage in PAST_SELECTION
        line = OtherShowing(
            showing_no=row.request_no,
            exhibition=row.exhibition.title,
            first=row.show_from,
            last=row.show_to,
            accepted=past or (answer is not None and Answer(answer.answer) in YES_OF_A_KIND),
            past_selection=past,
            travel_days=travel_days,
        )
        found[row.museum_object_id].append((row.pk, line))
    return found


def _companions(showings: Sequence[Showing]) -> dict[int, list[Companion]]:
    """Companions of the objects; two that go in together count as placed when both are checked."""
    found: dict[int, list[Companion]] = defaultdict(list)
    ids = {showing.museum_object_id for showing in showings}
    bonds = Companionship.objects.filter(
        Q(museum_object__in=ids) | Q(companion__in=ids), ended_on=None
    ).prefetch_related("companion", "museum_object")
    # From either side: who takes the key down names the clock. Only the named one is waited for.
    rows = [(row.museum_object_id, row.companion, True) for row in bonds]
    rows += [(row.companion_id, row.museum_object, False) for row in bonds]
    rows = sorted((r for r in rows if r[0] in ids), key=lambda row: row[1].object_number)
    companion_ids = {other.pk for _, other, _ in rows}
    shown = {
        period.museum_object_id: period.place
        for period in DisplayPeriod.objects.filter(
            museum_object__in=companion_ids, closed_at=None, struck_at=None
        ).select_related("place")
    }
    plans = _plans(showings, companion_ids) if rows else {}
    checked = set(
        InstallCheck.objects.filter(showing__museum_object__in=companion_ids, period=None)
        .exclude(digest="")
        .values_list("showing__museum_object_id", flat=True)
    )
    named = dict(
        TakeDown.objects.filter(showing__in=showings, struck_at=None).values_list(
            "showing_id", "companions_named"
        )
    )
    for showing in showings:
        for of, other, needed in rows:
            if of != showing.museum_object_id:
                continue
            number = other.object_number
            planned = plans.get((showing.exhibition_id, other.pk))
            found[showing.pk].append(
                Companion(
                    object_number=number,
                    placed=other.pk in shown or other.pk in checked,
                    taken_down=other.pk not in shown or number in named.get(showing.pk, ""),
                    needed=needed,
                    apart=_apart(
                        plans.get((showing.exhibition_id, showing.museum_object_id)),
                        planned,
                        shown.get(other.pk),
                    ),
                    uid=str(other.uid),
                    showing_uid=planned.showing_uid if planned else "",
                    may_stand_alone=showing.stands_alone_note,
                )
            )
    return found


@dataclass(frozen=True, slots=True)
class _Plan:
    """Where and when one object is to go in; the day is that of its install, if one is planned."""

    place: Place | None
    day: date | None
    showing_uid: str


def _plans(
    showings: Sequence[Showing], companion_ids: Iterable[int]
) -> dict[tuple[int, int], _Plan]:
    """Return the plans of objects and companions, by exhibition and object, in two queries."""
    things = {*companion_ids, *(showing.museum_object_id for showing in showings)}
    rows = list(
        Showing.objects.filter(
            exhibition__in={showing.exhibition_id for showing in showings}, museum_object__in=things
        )
        .exclude(stage__in=("", Stage.DECLINED.value, Stage.WITHDRAWN.value))
        .select_related("place")
        .order_by("pk")
    )
    days: dict[int, date] = {}
    planned = Appointment.objects.filter(showing__in=rows, kind=AppointmentKind.INSTALL)
    for row in planned.exclude(state=AppointmentState.CANCELLED).order_by("-day", "-pk"):
        days[row.showing_id] = row.day
    return {
        (row.exhibition_id, row.museum_object_id): _Plan(row.place, days.get(row.pk), str(row.uid))
        for row in rows
    }


def _apart(mine: _Plan | None, other: _Plan | None, shown: Place | None) -> str:
    """Say how a companion is planned apart, or nothing; what lies in the case already is there."""
    if mine is None or mine.place is None:
        return ""  # Without a place of its own nothing can be apart from it.
    case = case_of(mine.place)
    if shown is not None and case_of(shown) == case:
        return ""
    if other is None:
        return "is not asked for in this exhibition"
    if other.place is None:
        return "has no place yet"
    if case_of(other.place) != case:
        return f"is planned for {other.place.name}"
    if mine.day is not None and other.day is not None and other.day > mine.day:
        return f"is to go in only on {day_words(other.day)}"
    return ""
