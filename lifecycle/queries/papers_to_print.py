"""What there is to print: for a day, an exhibition, an object or a showing."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID

from django.db.models import Count, Q, QuerySet

from lifecycle.planning.moments import day_start, moment_of
from lifecycle.process.rights import Deed, PersonFacts
from lifecycle.process.stages import Stage
from lifecycle.process.words import ReportKind
from lifecycle.queries.clock import museum_zone
from lifecycle.queries.object_list import LEFT_OUT
from lifecycle.queries.papers_of_cases import of_cases
from lifecycle.queries.papers_of_treatment import proposals, treatment_reports
from lifecycle.queries.printable import LIST_LIMIT, Asked, Printable
from lifecycle.queries.rights import (
    may_see_objects,
    may_see_showings,
    museum_day,
    objects_open_to,
    showings_open_to,
)
from lifecycle.records.models import (
    Appointment,
    ConditionReport,
    Incident,
    IncidentObject,
    Movement,
    MovementLine,
    MuseumObject,
    PaperKind,
    Print,
    Showing,
)
from lifecycle.records.models.display.rotation import STILL_TO_COME, AppointmentKind
from lifecycle.records.models.preparation import Facsimile, FacsimileState, Housing, Mount

DAY = timedelta(1)
TURNS = (AppointmentKind.TURN.value, AppointmentKind.SWAP.value)
TO_TAKE_DOWN = (Stage.ON_DISPLAY.value, Stage.ROTATION.value, Stage.DEINSTALL_CHECK.value)


def printables(
    person: PersonFacts, at: datetime, asked: Asked, printers: Mapping[PaperKind, tuple[Deed, ...]]
) -> list[Printable]:
    """Papers to print in the order of their days; a fixed number of queries.

    Lists what the person may see and print: ``printers`` names the deeds that carry each paper.
    """
    today = museum_day(at)

    def showings(paper: PaperKind) -> "QuerySet[Showing, Any]":
        seen = may_see_showings(person, Showing.objects.all())
        return showings_open_to(person, seen, printers[paper])

    def objects(paper: PaperKind) -> "QuerySet[MuseumObject, Any]":
        seen = may_see_objects(person, MuseumObject.objects.all())
        return objects_open_to(person, seen, printers[paper])

    rows = [
        *_turns(showings(PaperKind.TURN_INSTRUCTION), asked, today),
        *_take_downs(showings(PaperKind.DEINSTALL_FORM), asked, today),
        *_movements(objects(PaperKind.MOVEMENT_SLIP), asked, today),
        *_reports(objects(PaperKind.CONDITION_REPORT), asked),
        *_lists(showings(PaperKind.OBJECT_LIST), asked),
        *_statements(objects(PaperKind.LIGHT_STATEMENT), asked),
        *_incidents(objects(PaperKind.INCIDENT_REPORT), asked),
        *_tags(showings(PaperKind.OBJECT_TAG), asked),
        *_labels(Housing, PaperKind.HOUSING_LABEL, objects(PaperKind.HOUSING_LABEL), asked),
        *_labels(Mount, PaperKind.MOUNT_LABEL, objects(PaperKind.MOUNT_LABEL), asked),
        *_facsimiles(objects(PaperKind.FACSIMILE_LABEL), asked),
        *proposals(objects(PaperKind.TREATMENT_PROPOSAL), asked),
        *of_cases(PaperKind.READING_SHEET, showings(PaperKind.READING_SHEET), asked),
        *of_cases(PaperKind.CASE_CONDITIONS, showings(PaperKind.CASE_CONDITIONS), asked),
        *treatment_reports(objects(PaperKind.TREATMENT_REPORT), asked),
    ]
    times = Print.objects.filter(record_uid__in=[row.uid for row in rows])
    printed: dict[tuple[UUID, str], int] = {
        (uid, paper): count
        for uid, paper, count in times.values_list("record_uid", "paper").annotate(n=Count("pk"))
    }
    counted = [replace(row, printed=printed.get((row.uid, row.paper), 0)) for row in rows]
    return sorted(counted, key=lambda row: (row.day or date.max, row.paper, row.number))


def _turns(seen: "QuerySet[Showing, Any]", asked: Asked, today: date) -> Iterator[Printable]:
    rows = Appointment.objects.filter(
        asked.of_showings("showing__"), kind__in=TURNS, state__in=STILL_TO_COME, showing__in=seen
    )
    if span := asked.span(today):
        rows = rows.filter(day__range=span)
    rows = rows.select_related(
        "showing__museum_object", "other_showing__museum_object", "from_face", "to_face", "place"
    )
    for row in rows.order_by("day", "pk")[:LIST_LIMIT]:
        objects = [row.showing.museum_object.object_number]
        if row.other_showing is not None:
            objects.append(row.other_showing.museum_object.object_number)
        faces = " to ".join(face.label for face in (row.from_face, row.to_face) if face)
        yield Printable(
            paper=PaperKind.TURN_INSTRUCTION,
            uid=row.uid,
            number=row.appointment_no,
            objects=tuple(objects),
            what=f"{row.get_kind_display()}: {faces}, {row.place.name}",
            day=row.day,
            printed=0,
        )


def _take_downs(seen: "QuerySet[Showing, Any]", asked: Asked, today: date) -> Iterator[Printable]:
    """Objects on display: on the day of their planned de-install, else by exhibition or object."""
    rows = seen.filter(asked.of_showings(), stage__in=TO_TAKE_DOWN)
    planned = dict(
        Appointment.objects.filter(kind=AppointmentKind.DEINSTALL, state__in=STILL_TO_COME)
        .order_by("-day")
        .values_list("showing_id", "day")
    )
    span = asked.span(today)
    for row in rows.select_related("museum_object", "exhibition", "place").order_by("pk")[
        :LIST_LIMIT
    ]:
        day = planned.get(row.pk) or row.show_to + DAY
        if span is not None and not span[0] <= day <= span[1]:
            continue
        place = f", {row.place.name}" if row.place else ""
        yield Printable(
            paper=PaperKind.DEINSTALL_FORM,
            uid=row.uid,
            number=row.request_no,
            objects=(row.museum_object.object_number,),
            what=f"take down from {row.exhibition.short}{place}",
            day=day,
            printed=0,
        )


def _movements(
    objects: "QuerySet[MuseumObject, Any]", asked: Asked, today: date
) -> Iterator[Printable]:
    lines = MovementLine.objects.filter(museum_object__in=objects)
    if asked.museum_object is not None:
        lines = lines.filter(museum_object=asked.museum_object)
    if asked.showing is not None or asked.exhibition is not None:
        lines = lines.filter(asked.of_showings("showing__"))
    rows = Movement.objects.filter(
        pk__in=lines.values("movement"), arrived_at=None, cancelled_at=None
    )
    zone = museum_zone()
    if span := asked.span(today):
        first, after = (moment_of(day_start(day, zone), zone) for day in (span[0], span[1] + DAY))
        if asked.day is not None:
            rows = rows.filter(planned_for__gte=first, planned_for__lt=after)
        else:
            rows = rows.filter(Q(planned_for=None) | Q(planned_for__lt=after))
    rows = rows.select_related("from_place", "to_place").prefetch_related("lines__museum_object")
    for row in rows.order_by("planned_for", "pk")[:LIST_LIMIT]:
        yield Printable(
            paper=PaperKind.MOVEMENT_SLIP,
            uid=row.uid,
            number=row.movement_no,
            objects=tuple(sorted(line.museum_object.object_number for line in row.lines.all())),
            what=f"{row.from_place.name} to {row.to_place.name}",
            day=row.planned_for.astimezone(zone).date() if row.planned_for else None,
            printed=0,
        )


def _lists(seen: "QuerySet[Showing, Any]", asked: Asked) -> Iterator[Printable]:
    """The object list of the exhibition that was named, for those who may print all of it."""
    exhibition = asked.exhibition
    if exhibition is None or asked.museum_object is not None or asked.showing is not None:
        return
    all_of_it = Showing.objects.filter(exhibition=exhibition, journal__isnull=False)
    count = all_of_it.exclude(stage__in=LEFT_OUT).distinct().count()
    open_here = seen.filter(exhibition=exhibition, journal__isnull=False)
    if count and count == open_here.exclude(stage__in=LEFT_OUT).distinct().count():
        yield Printable(
            paper=PaperKind.OBJECT_LIST,
            uid=exhibition.uid,
            number=exhibition.short,
            objects=(),
            what=f"{count} object{'' if count == 1 else 's'} in the order of the hang",
            day=None,
            printed=0,
        )


def _statements(objects: "QuerySet[MuseumObject, Any]", asked: Asked) -> Iterator[Printable]:
    """The light statement of the object that was named."""
    thing = asked.museum_object or (asked.showing.museum_object if asked.showing else None)
    if thing is not None and asked.day is None and objects.filter(pk=thing.pk).exists():
        yield Printable(
            paper=PaperKind.LIGHT_STATEMENT,
            uid=thing.uid,
            number=thing.object_number,
            objects=(thing.object_number,),
            what="the light every face has had",
            day=None,
            printed=0,
        )


def _incidents(objects: "QuerySet[MuseumObject, Any]", asked: Asked) -> Iterator[Printable]:
    """Incidents that are not closed yet, to be filled on the spot or completed at the bench."""
    if asked.day is not None:
        return
    lines = IncidentObject.objects.filter(museum_object__in=objects)
    if asked.museum_object is not None:
        lines = lines.filter(museum_object=asked.museum_object)
    if asked.showing is not None or asked.exhibition is not None:
        lines = lines.filter(asked.of_showings("showing__"))
    rows = Incident.objects.filter(pk__in=lines.values("incident"), closed_at=None)
    rows = rows.select_related("kind").prefetch_related("lines__museum_object")
    for row in rows.order_by("-discovered_at", "-pk")[:LIST_LIMIT]:
        yield Printable(
            paper=PaperKind.INCIDENT_REPORT,
            uid=row.uid,
            number=row.incident_no,
            objects=tuple(sorted(line.museum_object.object_number for line in row.lines.all())),
            what=row.kind.label,
            day=None,
            printed=0,
        )


def _reports(objects: "QuerySet[MuseumObject, Any]", asked: Asked) -> Iterator[Printable]:
    """Drafts to be filled at the bench; signed reports too when an object or showing is named."""
    if asked.day is not None:
        return
    rows = ConditionReport.objects.filter(museum_object__in=objects, struck_at=None)
    if not (asked.museum_object or asked.showing):
        rows = rows.filter(digest="")
    if asked.museum_object is not None:
        rows = rows.filter(museum_object=asked.museum_object)
    if asked.showing is not None or asked.exhibition is not None:
        rows = rows.filter(asked.of_showings("showing__"))
    for row in rows.select_related("museum_object").order_by("-entered_at", "-pk")[:LIST_LIMIT]:
        state = "signed" if row.signed else "draft"
        yield Printable(
            paper=PaperKind.CONDITION_REPORT,
            uid=row.uid,
            number=f"{row.report_no} version {row.version}",
            objects=(row.museum_object.object_number,),
            what=f"{ReportKind(row.kind).label}, {state}",
            day=None,
            printed=0,
            signed=row.signed,
        )


def _tags(seen: "QuerySet[Showing, Any]", asked: Asked) -> Iterator[Printable]:
    """A tag for each object that is not home again, when something is named to print for."""
    if asked.day is not None or not asked.about_something:
        return
    rows = seen.filter(asked.of_showings(), journal__isnull=False).exclude(stage__in=LEFT_OUT)
    for row in (
        rows.select_related("museum_object", "exhibition").distinct().order_by("pk")[:LIST_LIMIT]
    ):
        yield Printable(
            paper=PaperKind.OBJECT_TAG,
            uid=row.uid,
            number=row.request_no,
            objects=(row.museum_object.object_number,),
            what=f"in {row.exhibition.short}",
            day=None,
            printed=0,
        )


def _labels(
    kind: "type[Housing] | type[Mount]",
    paper: PaperKind,
    objects: "QuerySet[MuseumObject, Any]",
    asked: Asked,
) -> Iterator[Printable]:
    """Labels of what is in use, housings and mounts."""
    if asked.day is not None or not asked.about_something:
        return
    rows: QuerySet[Any, Any] = kind.objects.filter(museum_object__in=objects, retired_at=None)
    if asked.museum_object is not None:
        rows = rows.filter(museum_object=asked.museum_object)
    if asked.showing is not None or asked.exhibition is not None:
        rows = rows.filter(asked.of_showings("showing__"))
    for row in rows.select_related("museum_object", "kind").order_by("pk")[:LIST_LIMIT]:
        yield Printable(
            paper=paper,
            uid=row.uid,
            number=str(row),
            objects=(row.museum_object.object_number,),
            what=row.kind.label,
            day=None,
            printed=0,
        )


def _facsimiles(objects: "QuerySet[MuseumObject, Any]", asked: Asked) -> Iterator[Printable]:
    if asked.day is not None or not asked.about_something:
        return
    rows = Facsimile.objects.filter(of_face__museum_object__in=objects)
    rows = rows.exclude(state=FacsimileState.DESTROYED)
    if asked.museum_object is not None:
        rows = rows.filter(of_face__museum_object=asked.museum_object)
    if asked.showing is not None or asked.exhibition is not None:
        rows = rows.filter(asked.of_showings("showing__"))
    for row in rows.select_related("of_face__museum_object").order_by("pk")[:LIST_LIMIT]:
        yield Printable(
            paper=PaperKind.FACSIMILE_LABEL,
            uid=row.uid,
            number=row.facsimile_no,
            objects=(row.of_face.museum_object.object_number,),
            what=f"copy of {row.of_face.label}",
            day=None,
            printed=0,
        )
