"""Looks of the demo's conservators: whole reports with pictures, findings and signatures."""

from collections.abc import Collection, Mapping, Sequence
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

from lifecycle.actions.condition.findings import (
    Sight,
    add_finding,
    answer_feature,
    is_only_record,
)
from lifecycle.actions.condition.head import (
    Circumstances,
    Conclusions,
    save_circumstances,
    save_conclusions,
)
from lifecycle.actions.condition.looking import add_light, put_face_picture, say_not_seen
from lifecycle.actions.condition.sections import save_section
from lifecycle.actions.condition.sign import sign_report
from lifecycle.actions.condition.start import Occasion, start_report
from lifecycle.actions.demo.cast import Cast
from lifecycle.actions.demo.measuring import rate_the_ink, read_the_colours
from lifecycle.actions.pictures import store_picture
from lifecycle.exchange.demo_pictures import drawn
from lifecycle.process.stages import Role
from lifecycle.process.words import (
    Activity,
    CompareResult,
    FeatureState,
    Fit,
    Grade,
    Layer,
    LightKind,
    ReportKind,
    SeenAs,
    Severity,
    Stability,
)
from lifecycle.queries.marks import marks_of
from lifecycle.records.models import (
    ConditionReport,
    Face,
    Picture,
    PicturePurpose,
    Showing,
    Vocabulary,
    Word,
)
from lifecycle.records.models.condition.words import SectionName, TreatmentNeed
from lifecycle.science.selectors import Mark, ShapeKind, mark_of

REASONS = {
    ReportKind.BASELINE: "requested-for-exhibition",
    ReportKind.AFTER_TREATMENT: "after-treatment",
    ReportKind.DEINSTALL_AT_CASE: "taken-down",
    ReportKind.DEINSTALL_AT_BENCH: "taken-down",
}


def word(vocabulary: Vocabulary, code: str) -> Word:
    return Word.objects.get(vocabulary=vocabulary, code=code)


def picture_of(
    cast: Cast, face: Face, at: datetime, light: LightKind, purpose: PicturePurpose
) -> Picture:
    """Draw the face as it looks in this light and keep the picture."""
    name, number = cast.drawings[face.pk]
    return store_picture(
        data=drawn(name, number, raking=light is LightKind.RAKING),
        name=f"{face.museum_object.object_number} {face.label} {light.label}.jpg",
        face=face,
        purpose=purpose,
        light=light,
        scale_present=True,
        taken_at=at,
        taken_by=cast.people["ada"],
        by=cast.people["marit"],
        role=Role.CONSERVATOR,
        at=at,
    )


def start(
    cast: Cast,
    showing: Showing,
    kind: ReportKind,
    faces: Sequence[Face],
    at: datetime,
    *,
    by: str = "marit",
    where: str = "paper-lab",
    seen_as: SeenAs = SeenAs.UNHOUSED,
) -> ConditionReport:
    """A draft with its occasion, two lights, a picture per face and what could not be seen."""
    person, role = cast.people[by], cast.role_of(by)
    said: dict[str, Any] = {"by": person, "role": role, "at": at}
    report = start_report(
        museum_object=showing.museum_object,
        kind=kind,
        faces=faces,
        reason=word(Vocabulary.REPORT_REASON, REASONS.get(kind, "scheduled-look")),
        occasion=Occasion(
            examined_at=at - timedelta(minutes=40),
            examiners=[person],
            where=cast.places[where],
            light_there=word(Vocabulary.GALLERY_LIGHT, "bench-lamp"),
            seen_as=seen_as,
        ),
        showing=showing,
        **said,
    )
    add_light(report=report, light=LightKind.DIFFUSE, lux=800, minutes=Decimal(25), **said)
    add_light(
        report=report,
        light=LightKind.RAKING,
        direction_clock=9,
        lux=900,
        minutes=Decimal(5),
        **said,
    )
    say_not_seen(report=report, what=word(Vocabulary.NOT_SEEN, "under-mount"), note="", **said)
    for row in report.report_faces.order_by("pk"):
        put_face_picture(
            row=row,
            picture=picture_of(cast, row.face, at, LightKind.DIFFUSE, PicturePurpose.CONDITION),
            nothing_further=True,
            **said,
        )
    return report


def sign_whole(
    cast: Cast,
    report: ConditionReport,
    at: datetime,
    *,
    by: str,
    words: str,
    result: CompareResult = CompareResult.NO_CHANGE_SEEN,
) -> ConditionReport:
    """Write the section and the conclusions of a draft, then sign it."""
    said: dict[str, Any] = {"by": cast.people[by], "role": cast.role_of(by), "at": at}
    save_section(
        report=report,
        name=SectionName.SUPPORT,
        observed=words,
        interpretation="Ageing and use; nothing that has moved lately.",
        revision=0,
        **said,
    )
    report.refresh_from_db()
    save_conclusions(
        report=report,
        conclusions=Conclusions(
            grade=Grade.FAIR,
            stability=Stability.STABLE,
            result=result if report.compared_with_id else "",
            fit_display=Fit.WITH_LIMITS,
            fit_travel=Fit.WITH_LIMITS,
            fit_handling=Fit.WITH_LIMITS,
            fit_limits="Within the light, support and handling conditions of the assessment.",
            treatment_needed=TreatmentNeed.NONE,
        ),
        revision=report.conclusions_revision,
        **said,
    )
    report.refresh_from_db()
    sign_report(report=report, hand=cast.hand(by), at=at)
    report.refresh_from_db()
    return report


def baseline(
    cast: Cast, showing: Showing, faces: Sequence[Face], at: datetime, *, by: str = "marit"
) -> ConditionReport:
    """A signed baseline with every finding the fixtures name on these faces."""
    report = start(cast, showing, ReportKind.BASELINE, faces, at, by=by)
    light = report.lights_used.order_by("number").first()
    known = set(report.observations.values_list("feature__term__code", flat=True))
    by_label = {face.label: face for face in faces}
    covered = report.report_faces.select_related("picture")
    pictures = {one.face_id: one.picture for one in covered if one.picture is not None}
    for row in cast.data.findings.get(showing.museum_object.object_number, ()):
        if row["face"] in by_label and row["term"] not in known:
            add_finding(
                report=report,
                face=by_label[row["face"]],
                sight=sight_of(row, seen_in=light, on=pictures[by_label[row["face"]].pk]),
                by=cast.people[by],
                role=cast.role_of(by),
                at=at,
            )
    rate_the_ink(cast, report, by_label, at, by=by)
    read_the_colours(cast, report, by_label, at, by=by)
    report.refresh_from_db()
    if report.compared_with is None:
        no_earlier_report(cast, report, at, by=by)
    return sign_whole(
        cast, report, at, by=by, words="Sound and complete. Findings are marked on the picture."
    )


def mark_in(row: Mapping[str, Any], on: Picture) -> Mark:
    """The mark of a finding of the fixtures, on its picture."""
    kind = next(one for one in ShapeKind if one.value in row)
    corners: Sequence[Sequence[float]] = row[kind.value]
    if kind is ShapeKind.BOX:
        left, top, wide, high = row["box"]
        corners = ((left, top), (left + wide, top + high))
    points = [(x * on.width / 100, y * on.height / 100) for x, y in corners]
    return mark_of(kind, points, width=on.width, height=on.height)


def sight_of(row: Mapping[str, Any], *, seen_in: Any, on: Picture) -> Sight:
    """One finding of the fixtures as it was first seen, marked on the picture of its face."""
    return Sight(
        term=word(Vocabulary.CONDITION_TERM, row["term"]),
        state=FeatureState.FIRST_RECORD,
        layer=row["layer"],
        zone=row["zone"],
        mark=mark_in(row, on),
        marked_on=on,
        length_mm=Decimal(row["length"]) if "length" in row else None,
        count=row.get("count"),
        severity=row["severity"],
        activity=Activity(row["activity"]),
        seen_in=seen_in,
        note=row["note"],
    )


def no_earlier_report(cast: Cast, report: ConditionReport, at: datetime, *, by: str) -> None:
    """Say that nothing earlier is known, instead of leaving the comparison open."""
    save_circumstances(
        report=report,
        circumstances=Circumstances(
            occasion=Occasion(
                examined_at=report.examined_at,
                examiners=[cast.people[by]],
                where=report.where,
                light_there=report.light_there,
                seen_as=report.seen_as,
            ),
            reason=report.reason,
            components_complete=True,
            none_known="No earlier report in the object's file.",
        ),
        revision=report.circumstances_revision,
        by=cast.people[by],
        role=cast.role_of(by),
        at=at,
    )
    report.refresh_from_db()


def answer_all(
    cast: Cast,
    report: ConditionReport,
    at: datetime,
    *,
    by: str,
    treated: Collection[str] = (),
) -> None:
    """Answer each known feature 'same', as it lies in the report; 'treated' by code of its term.

    What came to light during treatment is seen for the first time here.
    """
    rows = report.observations.select_related("term", "feature", "marked_on").order_by(
        "feature__number"
    )
    marks = marks_of(rows)
    for row in rows:
        found = marks.of(row)
        state = FeatureState.TREATED if row.term.code in treated else FeatureState.SAME
        if is_only_record(row):
            state = FeatureState.FIRST_RECORD
        answer_feature(
            observation=row,
            sight=Sight(
                term=row.term,
                state=state,
                layer=row.layer or Layer.SUPPORT,
                zone=row.zone,
                mark=found.mark if found else None,
                marked_on=row.marked_on,
                length_mm=row.length_mm,
                width_mm=row.width_mm,
                count=row.count,
                severity=_severity(row.severity, state),
                activity=row.activity,
            ),
            revision=row.revision,
            by=cast.people[by],
            role=cast.role_of(by),
            at=at,
        )


def _severity(known: int | None, state: FeatureState) -> int:
    if state is FeatureState.TREATED:
        return Severity.TRACE
    return Severity.SLIGHT if known is None else known
