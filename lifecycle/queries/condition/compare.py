"""Two reports of one object beside each other: features by outcome, and what was not looked at."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from lifecycle.process.comparing import Measures, Outcome, by_measures, outcome
from lifecycle.process.words import FeatureState, LightKind
from lifecycle.queries.condition.known import CHANGED, saw_all, signed_reports
from lifecycle.records.models.condition import (
    ConditionReport,
    LightUsed,
    NotSeen,
    Observation,
    ReportFace,
)
from lifecycle.records.models.objects import Face


@dataclass(frozen=True, slots=True, kw_only=True)
class ComparedFeature:
    """A feature in both reports, or in one of them, with what follows from the rows."""

    number: int
    face: Face
    earlier: Observation | None
    later: Observation | None
    outcome: Outcome
    measured: FeatureState | None
    between: tuple[str, ...] = ()
    """What reports between the two said of it: 'worse in CR-0004 v1'."""

    @property
    def grown_mm(self) -> str:
        """Difference in length in mm where both were measured."""
        if self.earlier is None or self.later is None:
            return ""
        before, after = self.earlier.length_mm, self.later.length_mm
        if before is None or after is None or before == after:
            return ""
        return f"{(after - before).normalize():+f} mm"

    @property
    def asks_when(self) -> bool:
        """Whether the later report itself says that it changed, so that a verdict is wanted."""
        return self.later is not None and self.later.state in CHANGED

    @property
    def contradiction(self) -> str:
        """The measures, in words, where the later report's answer says otherwise."""
        if self.later is None or self.measured in {None, FeatureState.SAME}:
            return ""
        said = FeatureState(self.later.state)
        if said in {self.measured, FeatureState.TREATED, FeatureState.GONE}:
            return ""
        return f"by its measures {self.measured.label}" if self.measured else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ComparedFace:
    face: Face
    earlier: ReportFace | None
    later: ReportFace | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """Two reports, the older first. ``grouped`` is what a person reads."""

    earlier: ConditionReport
    later: ConditionReport
    faces: tuple[ComparedFace, ...]
    features: tuple[ComparedFeature, ...]
    not_seen: tuple[tuple[ConditionReport, tuple[NotSeen, ...]], ...]
    lights: tuple[tuple[ConditionReport, tuple[LightKind, ...]], ...]

    @property
    def grouped(self) -> tuple[tuple[Outcome, tuple[ComparedFeature, ...]], ...]:
        """The features by outcome, what changed first; empty groups are left out."""
        groups = (
            (one, tuple(row for row in self.features if row.outcome is one)) for one in Outcome
        )
        return tuple((one, rows) for one, rows in groups if rows)

    @property
    def changed(self) -> int:
        return sum(row.outcome.is_change for row in self.features)

    @property
    def seen_in_both(self) -> int:
        """How many features can be compared at all."""
        return sum(not row.outcome.proves_nothing for row in self.features)

    @property
    def faces_of_one(self) -> tuple[ComparedFace, ...]:
        """Faces that only one of the two looked at."""
        return tuple(pair for pair in self.faces if pair.earlier is None or pair.later is None)

    @property
    def lights_of_one(self) -> tuple[tuple[ConditionReport, tuple[LightKind, ...]], ...]:
        """Lights that only one of the two used, by report: what they show cannot be compared."""
        (first, one), (second, other) = self.lights
        alone = (
            (first, tuple(kind for kind in one if kind not in other)),
            (second, tuple(kind for kind in other if kind not in one)),
        )
        return tuple((report, kinds) for report, kinds in alone if kinds)


def compare(one: ConditionReport, other: ConditionReport) -> Comparison:
    """Return both reports beside each other, whichever is older; five queries.

    The number of queries grows neither with the features nor with the reports between.

    :raises ValueError: if they are about two objects
    """
    if one.museum_object_id != other.museum_object_id:
        raise ValueError(f"{one} and {other} are about two objects.")
    earlier, later = sorted((one, other), key=lambda report: (_when(report), report.pk))
    both = [earlier.pk, later.pk]
    rows: dict[int, dict[int, Observation]] = defaultdict(dict)
    for seen in Observation.objects.filter(report__in=both, taken_back=False).select_related(
        "feature__face", "term", "picture"
    ):
        rows[seen.feature.number][seen.report_id] = seen
    faces = _faces(both)
    whole = {
        face_id
        for face_id, pair in faces.items()
        if (row := pair.get(earlier.pk)) is not None
        and saw_all(earlier, nothing_further=row.nothing_further)
    }
    between = _between(earlier, later)
    return Comparison(
        earlier=earlier,
        later=later,
        faces=tuple(
            ComparedFace(
                face=next(iter(pair.values())).face,
                earlier=pair.get(earlier.pk),
                later=pair.get(later.pk),
            )
            for pair in sorted(
                faces.values(), key=lambda pair: next(iter(pair.values())).face.order
            )
        ),
        features=tuple(
            _feature(pair, earlier, later, between, whole) for _, pair in sorted(rows.items())
        ),
        not_seen=_not_seen((earlier, later)),
        lights=_lights((earlier, later)),
    )


def _when(report: ConditionReport) -> datetime:
    return report.examined_at or report.entered_at


def _faces(both: Sequence[int]) -> dict[int, dict[int, ReportFace]]:
    faces: dict[int, dict[int, ReportFace]] = defaultdict(dict)
    covered = ReportFace.objects.filter(report__in=both, dropped=False)
    for row in covered.select_related("face", "picture"):
        faces[row.face_id][row.report_id] = row
    return faces


def _between(
    earlier: ConditionReport, later: ConditionReport
) -> dict[int, list[tuple[str, FeatureState]]]:
    """What signed reports after the earlier and before the later one said, by feature number."""
    said: dict[int, list[tuple[str, FeatureState]]] = defaultdict(list)
    reports = signed_reports(later.museum_object).filter(
        examined_at__gt=_when(earlier), examined_at__lt=_when(later)
    )
    rows = (
        Observation.objects.filter(report__in=reports, taken_back=False, state__in=sorted(CHANGED))
        .exclude(report__in=[earlier.pk, later.pk])
        .order_by("report__examined_at", "pk")
        .values_list("feature__number", "report__report_no", "report__version", "state")
    )
    for number, report_no, version, state in rows:
        said[number].append((f"{report_no} v{version}", FeatureState(state)))
    return said


def measures_of(seen: Observation) -> Measures:
    """What one report measured of a feature."""
    return Measures(
        severity=seen.severity,
        length_mm=seen.length_mm,
        width_mm=seen.width_mm,
        count=seen.count,
    )


def _feature(
    pair: dict[int, Observation],
    first: ConditionReport,
    second: ConditionReport,
    between: dict[int, list[tuple[str, FeatureState]]],
    whole: set[int],
) -> ComparedFeature:
    earlier, later = pair.get(first.pk), pair.get(second.pk)
    feature = next(iter(pair.values())).feature
    measured = None
    if earlier is not None and later is not None:
        measured = by_measures(measures_of(earlier), measures_of(later))
    said = between.get(feature.number, [])
    states = [state for _, state in said]
    return ComparedFeature(
        number=feature.number,
        face=feature.face,
        earlier=earlier,
        later=later,
        measured=measured,
        between=tuple(f"{state.label} in {report}" for report, state in said),
        outcome=outcome(
            before=FeatureState(earlier.state) if earlier else None,
            later=FeatureState(later.state) if later else None,
            said=[*states, FeatureState(later.state)] if later else states,
            face_was_seen=feature.face_id in whole,
            measured=measured,
        ),
    )


def _not_seen(
    both: tuple[ConditionReport, ConditionReport],
) -> tuple[tuple[ConditionReport, tuple[NotSeen, ...]], ...]:
    rows = list(
        NotSeen.objects.filter(report__in=[report.pk for report in both], taken_back=False)
        .select_related("what")
        .order_by("pk")
    )
    return tuple(
        (report, tuple(row for row in rows if row.report_id == report.pk)) for report in both
    )


def _lights(
    both: tuple[ConditionReport, ConditionReport],
) -> tuple[tuple[ConditionReport, tuple[LightKind, ...]], ...]:
    rows = list(
        LightUsed.objects.filter(report__in=[report.pk for report in both], taken_back=False)
        .order_by("number")
        .values_list("report_id", "light")
    )
    return tuple(
        (
            report,
            tuple(dict.fromkeys(LightKind(light) for pk, light in rows if pk == report.pk)),
        )
        for report in both
    )
