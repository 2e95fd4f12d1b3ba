"""Condition on the pages of a showing and of an object."""

from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from lifecycle.process.stages import CLOSED, Role, Stage
from lifecycle.process.words import ReportKind, SignCapacity
from lifecycle.queries.clock import museum_zone
from lifecycle.queries.condition.due import open_recommendations
from lifecycle.queries.condition.ink import RatedFace, ink_of
from lifecycle.queries.condition.known import known_features, signed_reports
from lifecycle.records.models.condition import (
    ConditionReport,
    Observation,
    Recommendation,
)
from lifecycle.records.models.objects import MuseumObject
from lifecycle.records.models.showings import Showing
from lifecycle.records.models.signing import Signature

FOUND_AT = frozenset({Stage.ON_DISPLAY, Stage.ROTATION, Stage.DEINSTALL_CHECK})


@dataclass(frozen=True, slots=True, kw_only=True)
class ReportLine:
    """One report in a list, with the names under it."""

    report: ConditionReport
    signatures: tuple[Signature, ...] = ()
    countersigned_same_day: bool | None = None
    """Part A alone: a conservator's name of the same museum day; None where it isn't asked."""


def _same_day(report: ConditionReport, signatures: list[Signature], zone: ZoneInfo) -> bool | None:
    if report.kind != ReportKind.DEINSTALL_AT_CASE or not report.signed:
        return None
    written = [s.at for s in signatures if s.capacity == SignCapacity.AUTHOR]
    read = [s.at for s in signatures if s.role == Role.CONSERVATOR]
    days = {moment.astimezone(zone).date() for moment in written}
    return any(moment.astimezone(zone).date() in days for moment in read)


@dataclass(frozen=True, slots=True, kw_only=True)
class OnShowing:
    """What a showing's page says of condition."""

    showing: Showing
    reports: tuple[ReportLine, ...]

    @property
    def drafts(self) -> tuple[ReportLine, ...]:
        return tuple(line for line in self.reports if not line.report.signed)

    def _last(self, kind: ReportKind) -> ReportLine | None:
        return next((line for line in self.reports if line.report.kind == kind), None)

    @property
    def baseline(self) -> ReportLine | None:
        return self._last(ReportKind.BASELINE)

    @property
    def part_a(self) -> ReportLine | None:
        return self._last(ReportKind.DEINSTALL_AT_CASE)

    @property
    def part_b(self) -> ReportLine | None:
        return self._last(ReportKind.DEINSTALL_AT_BENCH)

    @property
    def part_a_is_near(self) -> bool:
        """Whether part A can be begun or read: nothing is found at a case before it hangs there.

        Once the showing is over both parts are read in the list of its reports.
        """
        begun = self.part_a is not None and self.showing.stage not in CLOSED
        return begun or self.showing.stage in FOUND_AT

    @property
    def part_b_is_near(self) -> bool:
        begun = self.part_b is not None and self.showing.stage not in CLOSED
        return begun or self.showing.stage == Stage.DEINSTALL_CHECK


@dataclass(frozen=True, slots=True, kw_only=True)
class OnObject:
    """What an object's page says of condition through time."""

    museum_object: MuseumObject
    reports: tuple[ReportLine, ...]
    features: tuple[Observation, ...]
    advice: tuple[Recommendation, ...]
    ink: tuple[RatedFace, ...] = ()


def _with_signatures(reports: list[ConditionReport]) -> tuple[ReportLine, ...]:
    signatures: dict[tuple[object, int], list[Signature]] = {}
    for signature in (
        Signature.objects.filter(record_uid__in=[report.uid for report in reports])
        .select_related("person")
        .order_by("at", "pk")
    ):
        key = (signature.record_uid, signature.record_version)
        signatures.setdefault(key, []).append(signature)
    zone = museum_zone()
    lines = []
    for report in reports:
        own = signatures.get((report.uid, report.version), [])
        same_day = _same_day(report, own, zone)
        lines.append(
            ReportLine(report=report, signatures=tuple(own), countersigned_same_day=same_day)
        )
    return tuple(lines)


def on_showing(showing: Showing, at: datetime) -> OnShowing:
    """Return the reports of a showing, newest first; three queries."""
    reports = list(
        ConditionReport.objects.filter(showing=showing, struck_at=None, entered_at__lte=at)
        .select_related("entered_by", "compared_with")
        .order_by("-entered_at", "-pk")
    )
    return OnShowing(showing=showing, reports=_with_signatures(reports))


def on_object(museum_object: MuseumObject, at: datetime) -> OnObject:
    """Return signed reports, known features and open recommendations, rated ink; seven queries."""
    reports = list(
        signed_reports(museum_object)
        .filter(entered_at__lte=at)
        .select_related("entered_by", "showing")
    )
    advice = open_recommendations().filter(report__in=[report.pk for report in reports])
    return OnObject(
        museum_object=museum_object,
        reports=_with_signatures(reports),
        features=tuple(known_features(museum_object)),
        advice=tuple(advice.order_by("due_on", "pk")),
        ink=ink_of(museum_object, at.astimezone(museum_zone()).date()),
    )


def part_of(showing: Showing, kind: ReportKind) -> ConditionReport | None:
    """Return the youngest report of a kind in a showing, signed or not; one query."""
    return (
        ConditionReport.objects.filter(showing=showing, kind=kind, struck_at=None)
        .order_by("-entered_at", "-pk")
        .first()
    )
