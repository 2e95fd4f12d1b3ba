"""Start a report: every feature known on its faces is listed as 'not looked at'."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.condition.draft import about_report, deed_for, put_examiners
from lifecycle.actions.numbering import next_number
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.stages import Role
from lifecycle.process.words import Certainty, FeatureState, ReportKind
from lifecycle.queries.condition.known import FULL, found_in_treatment, known_features, last_signed
from lifecycle.records.keeping import keep_all
from lifecycle.records.models.condition import ConditionReport, Observation, ReportFace
from lifecycle.records.models.objects import Face, MuseumObject
from lifecycle.records.models.people import Person
from lifecycle.records.models.places import Place
from lifecycle.records.models.showings import Showing
from lifecycle.records.models.words import Vocabulary, Word

CARRIED_OVER = (
    *("feature", "term", "layer", "zone", "clock_position", "length_mm", "width_mm", "count"),
    *("box_left", "box_top", "box_width", "box_height", "selector", "marked_on"),
    *("severity", "activity"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Occasion:
    """When and where the object is looked at, by whom, in whose presence.

    ``examined_at`` with ``examined_until`` is a span; 'not known' needs neither.
    """

    examined_at: datetime | None = None
    examined_until: datetime | None = None
    certainty: Certainty = Certainty.EXACT
    examiners: Sequence[Person] = field(default_factory=tuple)
    present: str = ""
    where: Place | None = None
    light_there: Word | None = None
    light_there_note: str = ""
    seen_as: str = ""
    requested_by: Person | None = None


@transaction.atomic
def start_report(
    *,
    museum_object: MuseumObject,
    kind: ReportKind,
    faces: Sequence[Face],
    reason: Word,
    occasion: Occasion,
    by: Person,
    role: Role,
    at: datetime,
    showing: Showing | None = None,
    none_known: str = "",
) -> ConditionReport:
    """Start a draft. It names the last signed full report as the one to compare with.

    :param none_known: why there is no earlier report, for an object that has none signed here

    :raises NotAllowed: if this role may not write this kind of report
    :raises Refused: no face, a face of another object, a time in the future or upside down,
        a word of another list, a second open part A or B for the same showing
    """
    report = ConditionReport(
        museum_object=museum_object,
        showing=showing,
        kind=kind,
        reason=reason,
        entered_at=at,
        entered_by=by,
    )
    # The object is locked, so that two people don't start the same part twice.
    MuseumObject.objects.select_for_update().get(pk=museum_object.pk)
    allow(by=by, role=role, deed=deed_for(kind), at=at, about=about_report(report))
    reasons = [
        *_reasons_about_faces(museum_object, faces, showing),
        *reasons_about_time(occasion, at),
        *_reasons_about_word(reason),
        *_reasons_about_a_second_part(showing, kind),
    ]
    if reasons:
        raise Refused(reasons)
    put_occasion(report, occasion)
    report.compared_with = last_signed(museum_object)
    if report.compared_with is None:
        report.none_known = none_known.strip()
    report.report_no = next_number("CR")
    report.keep(by=by, role=role, why=f"{kind.label} report started", at=at)
    put_examiners(report, occasion.examiners or [by])
    report.keep(by=by, role=role, why="examiners named", at=at)
    for face in faces:
        ReportFace(report=report, face=face).keep(by=by, role=role, why="face covered", at=at)
    list_known_features(report, faces, by=by, role=role, at=at)
    return report


def list_known_features(
    report: ConditionReport, faces: Sequence[Face], *, by: Person, role: Role, at: datetime
) -> None:
    """List each known feature of these faces as 'not looked at', unless the draft has it.

    A row that went with its face when that was left out comes back as it was.
    """
    rows = {row.feature_id: row for row in report.observations.all()}
    told: dict[str, Any] = {"by": by, "role": role, "at": at}
    known = known_features(report.museum_object, faces=list(faces))
    listed = [
        Observation(
            report=report,
            state=FeatureState.NOT_LOOKED_AT,
            written_by=by,
            written_at=at,
            **{name: getattr(last, name) for name in CARRIED_OVER},
        )
        for last in known
        if last.feature_id not in rows
    ]
    if ReportKind(report.kind) in FULL:
        # Its first record: whoever examines it now changes or takes back what the bench wrote.
        listed += [
            Observation(
                report=report,
                feature=found.feature,
                term=found.feature.term,
                state=FeatureState.FIRST_RECORD,
                zone=found.zone,
                note=found.what,
                picture=found.picture,
                written_by=found.observed_by,
                written_at=found.observed_at,
            )
            for found in found_in_treatment(report.museum_object, faces=list(faces))
            if found.feature_id not in rows
        ]
    keep_all(listed, why="known feature listed", **told)
    for last in known:
        row = rows.get(last.feature_id)
        if row is not None and row.taken_back:
            row.taken_back = False
            row.revision += 1
            row.keep(why="its face is covered again", **told)


def put_occasion(report: ConditionReport, occasion: Occasion) -> None:
    """Write the plain fields of an occasion on a report that is not yet saved."""
    report.examined_at = occasion.examined_at
    report.examined_until = occasion.examined_until
    report.examined_certainty = occasion.certainty
    report.present = occasion.present.strip()
    report.where = occasion.where
    report.light_there = occasion.light_there
    report.light_there_note = occasion.light_there_note.strip()
    report.seen_as = occasion.seen_as
    report.requested_by = occasion.requested_by


def _reasons_about_faces(
    museum_object: MuseumObject, faces: Sequence[Face], showing: Showing | None
) -> list[Reason]:
    if not faces:
        return [Reason("Choose at least one face that is looked at.", "faces", "condition.faces")]
    strange = [face for face in faces if face.museum_object_id != museum_object.pk]
    if strange:
        text = f"The face “{strange[0]}” does not belong to {museum_object}."
        return [Reason(text, "faces", "condition.faces")]
    if showing is not None and showing.museum_object_id != museum_object.pk:
        return [Reason(f"Showing {showing} is not about {museum_object}.", "showing")]
    return []


def reasons_about_time(occasion: Occasion, at: datetime) -> list[Reason]:
    """Return what is wrong with when the object was looked at; nobody is made to invent it."""
    begins, ends = occasion.examined_at, occasion.examined_until
    if begins is None and occasion.certainty != Certainty.NOT_KNOWN:
        text = "Enter when it was looked at, or say that the time is not known."
        return [Reason(text, "examined_at", "condition.when")]
    if occasion.certainty == Certainty.BETWEEN and ends is None:
        text = "A time between two moments needs the second moment too."
        return [Reason(text, "examined_until", "condition.when")]
    if begins is not None and ends is not None and ends < begins:
        text = "The end of the examination lies before its beginning."
        return [Reason(text, "examined_until", "condition.when")]
    if any(moment is not None and moment > at for moment in (begins, ends)):
        text = "The examination can't lie in the future: enter when it was made."
        return [Reason(text, "examined_at", "condition.when")]
    return []


def _reasons_about_word(reason: Word) -> list[Reason]:
    if reason.vocabulary != Vocabulary.REPORT_REASON:
        text = f"“{reason}” is not in the list of reasons for a report; choose one of the list."
        return [Reason(text, "reason", "condition.reason")]
    return []


def _reasons_about_a_second_part(showing: Showing | None, kind: ReportKind) -> list[Reason]:
    if kind not in {ReportKind.DEINSTALL_AT_CASE, ReportKind.DEINSTALL_AT_BENCH}:
        return []
    if showing is None:
        return [Reason(f"A {kind.label} report belongs to a showing.", "showing")]
    open_part = ConditionReport.objects.filter(
        showing=showing, kind=kind, digest="", struck_at__isnull=True
    ).first()
    if open_part is None:
        return []
    text = (
        f"Report {open_part} ({kind.label}) is already being written by "
        f"{open_part.entered_by}: go on with that one."
    )
    return [Reason(text, code="condition.part_open")]
