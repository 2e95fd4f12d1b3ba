"""One report with everything on it, in a fixed number of queries."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from uuid import UUID

from django.db.models import Exists

from lifecycle.process.words import FeatureState
from lifecycle.queries.condition.due import answers_of
from lifecycle.queries.condition.known import CHANGED
from lifecycle.queries.condition.sightings import Interval, intervals
from lifecycle.queries.signed_text.registry import signatures_of
from lifecycle.records.models.condition import (
    AsFound,
    BenchCheck,
    ChangeVerdict,
    ConditionReport,
    InkRating,
    InkTest,
    LeftUnsigned,
    LightUsed,
    NotSeen,
    Observation,
    Recommendation,
    ReportFace,
    ReportSection,
)
from lifecycle.records.models.objects import Face
from lifecycle.records.models.people import Person
from lifecycle.records.models.pictures import Picture
from lifecycle.records.models.signing import Signature


def _advice(report: ConditionReport) -> tuple[Recommendation, ...]:
    """What the examiner advises, each with ``answered``: whether it was dealt with since."""
    rows = report.recommendations.filter(taken_back=False)
    return tuple(rows.annotate(answered=Exists(answers_of())).order_by("number"))


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingRow:
    """One finding of a report, between which looks it changed, and the verdicts on its change."""

    seen: Observation
    verdicts: tuple[ChangeVerdict, ...]
    interval: Interval

    @property
    def number(self) -> int:
        return self.seen.feature.number

    @property
    def state(self) -> FeatureState:
        return FeatureState(self.seen.state)

    @property
    def has_changed(self) -> bool:
        return self.seen.state in CHANGED

    @property
    def size(self) -> str:
        """Length by width in mm, as far as they were measured."""
        sides = [f"{v.normalize():f}" for v in (self.seen.length_mm, self.seen.width_mm) if v]
        return f"{' × '.join(sides)} mm" if sides else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class FaceSheet:
    """A face of the report with its picture and findings."""

    row: ReportFace
    findings: tuple[FindingRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ReportSheet:
    """Everything a page shows of one report."""

    report: ConditionReport
    examiners: tuple[Person, ...]
    faces: tuple[FaceSheet, ...]
    sections: tuple[ReportSection, ...]
    lights: tuple[LightUsed, ...]
    not_seen: tuple[NotSeen, ...]
    advice: tuple[Recommendation, ...]
    signatures: tuple[Signature, ...]
    as_found: AsFound | None
    bench_check: BenchCheck | None
    later: ConditionReport | None
    ink_areas: tuple[InkRating, ...] = ()
    ink_tests: tuple[InkTest, ...] = ()
    left_unsigned: tuple[LeftUnsigned, ...]
    """Who went away before countersigning and has not signed since."""

    @property
    def findings(self) -> tuple[FindingRow, ...]:
        rows = [row for face in self.faces for row in face.findings]
        return tuple(sorted(rows, key=lambda row: row.number))

    @property
    def worst_open(self) -> FindingRow | None:
        """The worst finding that is still there; it stands beside the chosen grade."""
        there = [
            row
            for row in self.findings
            if row.seen.severity is not None and row.state is not FeatureState.GONE
        ]
        return max(there, key=lambda row: (row.seen.severity or 0, -row.number), default=None)

    @property
    def unanswered(self) -> tuple[FindingRow, ...]:
        """Changed or new findings of a comparison without a person's verdict."""
        if self.report.compared_with_id is None:
            return ()
        return tuple(row for row in self.findings if row.has_changed and not row.verdicts)


def report_by_uid(uid: UUID) -> ConditionReport | None:
    """Return a report with what its pages name; one query."""
    return (
        ConditionReport.objects.select_related(
            "museum_object__current_location",
            "museum_object__lender",
            "showing__museum_object__current_location",
            "showing__exhibition",
            "showing__place",
            "reason",
            "requested_by",
            "where",
            "light_there",
            "compared_with",
            "corrects",
            "entered_by",
        )
        .filter(uid=uid)
        .first()
    )


def report_sheet(report: ConditionReport) -> ReportSheet:
    """Return the report with its parts: nineteen queries whatever the number of findings."""
    verdicts: dict[int, list[ChangeVerdict]] = defaultdict(list)
    for verdict in (
        ChangeVerdict.objects.filter(observation__report=report)
        .select_related("by", "last_unchanged_report", "first_changed_report", "incident")
        .order_by("at", "pk")
    ):
        verdicts[verdict.observation_id].append(verdict)
    observations = list(
        report.observations.filter(taken_back=False)
        .select_related("feature__face", "term", "seen_in", "picture", "written_by")
        .order_by("feature__number")
    )
    between = intervals(report, observations)
    by_face: dict[int, list[FindingRow]] = defaultdict(list)
    for seen in observations:
        row = FindingRow(seen=seen, verdicts=tuple(verdicts[seen.pk]), interval=between[seen.pk])
        by_face[seen.feature.face_id].append(row)
    covered = (
        report.report_faces.filter(dropped=False)
        .select_related("face__thumbnail", "picture")
        .order_by("face__order", "face_id")
    )
    signatures = tuple(signatures_of(report))
    return ReportSheet(
        report=report,
        examiners=tuple(report.examiners.order_by("full_name", "pk")),
        faces=tuple(
            FaceSheet(row=row, findings=tuple(by_face.get(row.face_id, ()))) for row in covered
        ),
        sections=tuple(
            report.sections.filter(revision__gt=0)
            .select_related("written_by", "taken_by")
            .order_by("pk")
        ),
        lights=tuple(
            report.lights_used.filter(taken_back=False).select_related("picture").order_by("number")
        ),
        not_seen=tuple(
            report.not_seen.filter(taken_back=False).select_related("what").order_by("pk")
        ),
        advice=_advice(report),
        signatures=signatures,
        as_found=AsFound.objects.filter(report=report).select_related("picture").first(),
        bench_check=BenchCheck.objects.filter(report=report)
        .select_related("lender_told_by")
        .first(),
        later=ConditionReport.objects.filter(corrects=report, struck_at=None).first(),
        ink_areas=tuple(
            report.ink_ratings.filter(taken_back=False).select_related("face").order_by("number")
        ),
        ink_tests=tuple(
            report.ink_tests.filter(taken_back=False)
            .select_related("face", "picture")
            .order_by("number")
        ),
        left_unsigned=_left_unsigned(report, signatures),
    )


def _left_unsigned(
    report: ConditionReport, signatures: Sequence[Signature]
) -> tuple[LeftUnsigned, ...]:
    signed = {(row.person_id, row.capacity) for row in signatures}
    left = report.left_unsigned.select_related("person", "entered_by").order_by("pk")
    return tuple(row for row in left if (row.person_id, row.capacity) not in signed)


def last_pictures(faces: Sequence[Face]) -> dict[int, Picture]:
    """Return, per face, the last picture of a signed report, else its thumbnail; one query."""
    found = {face.pk: face.thumbnail for face in faces if face.thumbnail is not None}
    rows = (
        ReportFace.objects.filter(face__in=faces, dropped=False, picture__isnull=False)
        .exclude(report__digest="")
        .select_related("picture")
        .order_by("report__examined_at", "report__signed_at", "pk")
    )
    for row in rows:
        if row.picture is not None:
            found[row.face_id] = row.picture
    return found
