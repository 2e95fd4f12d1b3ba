"""What a material touched, and how its tests stand: every object has to be found again."""

from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import Exists, OuterRef, Q, QuerySet

from lifecycle.process.days import day_words
from lifecycle.process.duties.of_objects import CHECK_NOTICE, LapseFacts, RecallFacts
from lifecycle.process.material_tests import (
    LAPSE_NOTICE_DAYS,
    HowTested,
    Rating,
    ResultOnDay,
    Standing,
    counts_until,
    standing_on,
)
from lifecycle.process.numbers import reading_order
from lifecycle.process.words import ReportKind
from lifecycle.queries.condition.known import standing as not_corrected
from lifecycle.queries.objects import place_words
from lifecycle.records.models.condition import ConditionReport
from lifecycle.records.models.objects import MuseumObject
from lifecycle.records.models.treatment import (
    CallBack,
    Material,
    MaterialResult,
    MaterialTest,
    TreatmentReport,
    TreatmentStep,
)


def treated_with(material: Material) -> Sequence[TreatmentStep]:
    """Return every step done with this batch, newest first, with object and place; one query.

    A step that was written again counts as it stands now.
    """
    return list(
        TreatmentStep.objects.filter(material=material, corrected_by=None)
        .select_related("museum_object__current_location", "step", "proposal", "observed_by")
        .order_by("-observed_at", "-pk")
    )


def _before_results(material: Material) -> list[ResultOnDay]:
    """What the material's own row says of a test that has no result row, as far as it has a day."""
    if material.tested_on is None or material.test_state not in (
        MaterialTest.TESTED,
        MaterialTest.FAILED,
    ):
        return []
    rating = Rating.PASSED if material.test_state == MaterialTest.TESTED else Rating.FAILED
    return [
        ResultOnDay(
            how=HowTested.OTHER,
            rating=rating,
            tested_on=material.tested_on,
            until=counts_until(material.tested_on),
        )
    ]


def standings(materials: Iterable[Material], day: date) -> dict[int, Standing]:
    """Return how each material's tests stand on a day, by row id; one query."""
    rows = {material.pk: material for material in materials}
    results: dict[int, list[ResultOnDay]] = {pk: [] for pk in rows}
    told = MaterialResult.objects.filter(material__in=list(rows))
    for row in told.order_by("tested_on", "pk"):
        results[row.material_id].append(
            ResultOnDay(
                how=HowTested(row.how),
                rating=Rating(row.rating),
                tested_on=row.tested_on,
                until=row.valid_until,
            )
        )
    return {
        pk: standing_on(results[pk] or _before_results(material), day)
        for pk, material in rows.items()
    }


def lapses_due(day: date) -> list[LapseFacts]:
    """Return materials in use and accepted for something whose test lapses soon; two queries."""
    accepted = Q(accepted_for_contact=True) | Q(accepted_for_case=True) | Q(accepted_for_mount=True)
    rows = list(Material.objects.filter(accepted, used_up_on=None).order_by("name", "batch", "pk"))
    found = []
    for material, standing in zip(rows, standings(rows, day).values(), strict=True):
        ends = [one.until for one in standing.lapsed] or (
            [standing.next_lapse] if standing.next_lapse else []
        )
        if ends and (min(ends) - day).days <= LAPSE_NOTICE_DAYS:
            found.append(LapseFacts(uid=str(material.uid), material=str(material), until=min(ends)))
    return found


@dataclass(frozen=True, slots=True, kw_only=True)
class TreatedObject:
    """One object that was treated so: where it is, when and how often, what is asked of it.

    ``told`` says what it was: the batches that touched it, or the steps done.
    """

    museum_object: MuseumObject
    where: str
    first: datetime
    last: datetime
    steps: int
    told: tuple[str, ...]
    call_backs: tuple[CallBack, ...]


#: The steps by the row id of their object, each in the order they were done.
ByObject = dict[int, list[TreatmentStep]]


def touched_by(
    materials: Collection[Material], objects: Collection[MuseumObject] | None = None
) -> ByObject:
    """Return the steps done with one of these batches, of these objects or of all; one query."""
    used = [one.pk for one in materials]
    rows = TreatmentStep.objects.filter(material__in=used, corrected_by=None)
    if objects is not None:
        rows = rows.filter(museum_object__in=[one.pk for one in objects])
    found: ByObject = {}
    for step in rows.select_related("material").order_by("observed_at", "pk"):
        found.setdefault(step.museum_object_id, []).append(step)
    return found


def treated_objects(materials: Collection[Material], *, with_bay: bool) -> list[TreatedObject]:
    """Return each object that one of these batches touched, in the order of numbers.

    Three queries whatever the number of steps and objects.
    """
    return treated_lines(touched_by(materials), lambda s: str(s.material), with_bay=with_bay)


def treated_lines(
    steps: ByObject, told: Callable[[TreatmentStep], str], *, with_bay: bool
) -> list[TreatedObject]:
    """Return the objects of these steps, in the order of numbers; two queries."""
    waiting: dict[int, list[CallBack]] = {}
    for row in open_call_backs().filter(museum_object__in=list(steps)):
        waiting.setdefault(row.museum_object_id, []).append(row)
    things = MuseumObject.objects.filter(pk__in=list(steps)).select_related(
        "current_location__parent"
    )
    return [
        TreatedObject(
            museum_object=thing,
            where=place_words(thing.current_location, with_bay=with_bay),
            first=steps[thing.pk][0].observed_at,
            last=steps[thing.pk][-1].observed_at,
            steps=len(steps[thing.pk]),
            told=tuple(sorted({told(step) for step in steps[thing.pk]})),
            call_backs=tuple(waiting.get(thing.pk, ())),
        )
        for thing in sorted(things, key=lambda one: reading_order(one.object_number))
    ]


def open_call_backs() -> QuerySet[CallBack, Any]:
    """Call-backs that were not ended, and whose object was not looked at for them since."""
    answered = ConditionReport.objects.filter(
        not_corrected("pk"),
        museum_object=OuterRef("museum_object"),
        kind=ReportKind.CALL_BACK,
        examined_at__gte=OuterRef("asked_at"),
    ).exclude(digest="")
    return (
        CallBack.objects.filter(~Exists(answered), ended_at=None)
        .select_related(
            "museum_object__current_location__parent",
            "material",
            "caution_rule",
            "house_rules",
            "asked_by",
        )
        .order_by("due_on", "museum_object__object_number", "pk")
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Recall:
    """One line of the call-back list: an object to look at again, why, and by when."""

    uid: str
    object_id: int
    object_uid: str
    object_number: str
    title: str
    where: str
    due_on: date
    number: str
    why: str
    call_back: CallBack | None = None


def recalls(zone: ZoneInfo, *, with_bay: bool, until: date | None = None) -> list[Recall]:
    """Return what has to be looked at again on account of a treatment, by day; two queries.

    ``until`` leaves out what is due later.
    """
    asked = open_call_backs()
    reports = _reports_to_look_at_again()
    if until is not None:
        asked, reports = asked.filter(due_on__lte=until), reports.filter(callback_on__lte=until)
    found = [
        _recall(
            row.museum_object,
            with_bay=with_bay,
            uid=str(row.uid),
            due_on=row.due_on,
            number=row.call_back_no,
            why=f"{row.cause}: {row.reason}",
            call_back=row,
        )
        for row in asked
    ]
    for report in reports:
        if report.callback_on is not None and report.signed_at is not None:
            found.append(
                _recall(
                    report.proposal.museum_object,
                    with_bay=with_bay,
                    uid=str(report.uid),
                    due_on=report.callback_on,
                    number=report.proposal.proposal_no,
                    why=(
                        "The treatment report signed on "
                        f"{day_words(report.signed_at.astimezone(zone).date())} asks for it."
                    ),
                )
            )
    return sorted(found, key=lambda one: (one.due_on, reading_order(one.object_number), one.uid))


def recalls_due(today: date, zone: ZoneInfo) -> list[RecallFacts]:
    """Return what has to be looked at again within the notice of every check; two queries."""
    rows = recalls(zone, with_bay=False, until=today + CHECK_NOTICE)
    return [
        RecallFacts(
            uid=row.uid,
            number=row.number,
            why=row.why,
            due_on=row.due_on,
            object_uid=row.object_uid,
            object_number=row.object_number,
            title=row.title,
        )
        for row in rows
    ]


def _recall(
    thing: MuseumObject,
    *,
    with_bay: bool,
    uid: str,
    due_on: date,
    number: str,
    why: str,
    call_back: CallBack | None = None,
) -> Recall:
    return Recall(
        uid=uid,
        object_id=thing.pk,
        object_uid=str(thing.uid),
        object_number=thing.object_number,
        title=thing.title,
        where=place_words(thing.current_location, with_bay=with_bay),
        due_on=due_on,
        number=number,
        why=why,
        call_back=call_back,
    )


def _reports_to_look_at_again() -> QuerySet[TreatmentReport, Any]:
    """Signed treatment reports, not corrected, with a day to look again that nobody kept yet."""
    later = TreatmentReport.objects.filter(corrects=OuterRef("pk")).exclude(digest="")
    looked = ConditionReport.objects.filter(
        not_corrected("pk"),
        museum_object=OuterRef("proposal__museum_object"),
        kind=ReportKind.CALL_BACK,
        examined_at__gte=OuterRef("signed_at"),
    ).exclude(digest="")
    return (
        TreatmentReport.objects.filter(~Exists(later), ~Exists(looked), callback_on__isnull=False)
        .exclude(digest="")
        .select_related("proposal__museum_object__current_location__parent")
        .defer("signed_text")
        .order_by("callback_on", "pk")
    )


def batches_like(name: str, batch: str) -> list[Material]:
    """Return the batches on record whose name and batch hold what was typed; one query."""
    rows = Material.objects.all()
    if name.strip():
        rows = rows.filter(name__icontains=name.strip())
    if batch.strip():
        rows = rows.filter(batch__iexact=batch.strip())
    return list(rows.order_by("name", "grade", "batch", "pk"))
