"""From an incident: its place, objects with what was last known of them, last readings."""

from collections.abc import Iterator
from datetime import datetime

from lifecycle.papers.filling.block_o import (
    WITH_OBJECT,
    House,
    block_o,
    caution_lines,
    face_words,
    figure,
    house,
    place_path,
    report_words,
)
from lifecycle.papers.filling.features import last_look, last_looks
from lifecycle.papers.sheets.shared import report_line
from lifecycle.papers.words.incident_report import FoundObject, IncidentReportWords
from lifecycle.papers.words.parts import DatedLine
from lifecycle.process.cautions import CautionFor
from lifecycle.process.words import Certainty
from lifecycle.queries.condition.ink import ink_sentences
from lifecycle.queries.condition.known import last_signed
from lifecycle.queries.light.pages import readings_at
from lifecycle.records.models import Incident, IncidentObject
from lifecycle.records.models.incidents import IncidentSeverity, ToldWhom

LAST_READINGS = 3


def incident_report_words(incident: Incident, at: datetime) -> IncidentReportWords:
    """The words as they stand at `at`; queries grow with the objects it names alone."""
    of_house = house()
    incident = Incident.objects.select_related(
        "kind",
        "place__parent__parent__parent__parent",
        "reporter",
        "made_safe_by",
        "closed_by",
        "condition_report",
    ).get(pk=incident.pk)
    lines = (
        incident.lines.select_related(
            "face__thumbnail",
            "showing__exhibition",
            *(f"museum_object__{name}" for name in WITH_OBJECT),
        )
        .prefetch_related("museum_object__hazards")
        .order_by("museum_object__object_number")
    )
    objects = tuple(_found(line, incident, of_house) for line in lines)
    told = list(incident.told.order_by("told_at", "pk"))
    lent = any(line.museum_object.lender_id for line in lines)
    return IncidentReportWords(
        institution=of_house.name,
        incident_no=incident.incident_no,
        kind=incident.kind.label,
        place=place_path(incident.place, within_building=True),
        found_at=of_house.moment(incident.discovered_at),
        found_by=incident.reporter.full_name,
        happened=_happened(incident, of_house),
        seen=incident.circumstances,
        objects=objects,
        readings=tuple(_readings(incident, at, of_house)),
        made_safe=_made_safe(incident, of_house),
        told=tuple(
            DatedLine(
                when=of_house.moment(row.told_at),
                what=f"{ToldWhom(row.whom).label}, {row.how}",
                who=row.name,
            )
            for row in told
        ),
        tell=tuple(one.label for one in _order(lent=lent)),
        statements=tuple(
            DatedLine(
                when=of_house.moment(row.observed_at or row.entered_at),
                what=row.text,
                who=row.person.full_name,
            )
            for row in incident.statements.select_related("person").order_by("pk")
        ),
        outcome=tuple(_outcome(incident)),
        closed=_closed(incident, of_house),
        cautions=caution_lines([], CautionFor.CONDITION_PAPER),
    )


def _found(line: IncidentObject, incident: Incident, of_house: House) -> FoundObject:
    thing = line.museum_object
    earlier = last_signed(thing, before=incident.discovered_at, face=line.face)
    seen = earlier.examined_at if earlier is not None else None
    how = "report"
    look = last_look(last_looks(thing), line.face_id, until=incident.discovered_at)
    if look is not None and (seen is None or look.looked_at > seen):
        seen, how = look.looked_at, "look, through glass" if look.through_glass else "look"
    return FoundObject(
        about=block_o(
            thing,
            of_house=of_house,
            activity=CautionFor.CONDITION_PAPER,
            showing=line.showing,
            face=face_words(line.face) if line.face else None,
            beside=ink_sentences([thing]),
        ),
        last_seen=f"{of_house.moment(seen)} ({how})" if seen else "not on record",
        last_report=report_line(report_words(earlier, of_house)),
    )


def _happened(incident: Incident, of_house: House) -> str:
    if incident.happened_from is None and incident.happened_to is None:
        return "not known"
    ends = [of_house.moment(one) for one in (incident.happened_from, incident.happened_to) if one]
    return f"{' to '.join(ends)} ({Certainty(incident.certainty).label})"


def _readings(incident: Incident, at: datetime, of_house: House) -> Iterator[DatedLine]:
    if incident.place is None:
        return
    for row in readings_at(incident.place, at).order_by("-read_at", "-pk")[:LAST_READINGS]:
        uv = f", UV {figure(row.uv, 'µW/lm')}" if row.uv is not None else ""
        yield DatedLine(when=of_house.moment(row.read_at), what=f"{figure(row.lux, 'lx')}{uv}")


def _made_safe(incident: Incident, of_house: House) -> str:
    if incident.made_safe_at is None:
        return ""
    who = incident.made_safe_by.full_name if incident.made_safe_by else ""
    when = of_house.moment(incident.made_safe_at)
    return ", ".join(part for part in (incident.made_safe_what, who, when) if part)


def _order(*, lent: bool) -> list[ToldWhom]:
    """The lender's line stands first where something is lent, else among the others."""
    rest: list[ToldWhom] = [one for one in ToldWhom if one is not ToldWhom.OWNER_OR_LENDER]
    return [ToldWhom.OWNER_OR_LENDER, *rest] if lent else rest


def _outcome(incident: Incident) -> Iterator[tuple[str, str]]:
    severity = IncidentSeverity(incident.severity).label if incident.severity else "not yet"
    yield "Severity", severity
    yield "Cause", incident.cause or "not yet"
    yield "Lesson", incident.lesson or "none yet"
    report = incident.condition_report
    yield "Condition report", f"{report.report_no} version {report.version}" if report else "none"


def _closed(incident: Incident, of_house: House) -> str:
    if incident.closed_at is None or incident.closed_by is None:
        return ""
    return f"{incident.closed_by.full_name}, {of_house.moment(incident.closed_at)}"
