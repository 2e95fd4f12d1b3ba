"""Two reports of one object beside each other, feature by feature."""

from dataclasses import dataclass

from lifecycle.process.words import FeatureState
from lifecycle.queries.condition.known import SEEN
from lifecycle.records.models.condition import ConditionReport, Observation, ReportFace
from lifecycle.records.models.objects import Face


@dataclass(frozen=True, slots=True, kw_only=True)
class ComparedFeature:
    """A feature in both reports, or in one of them. ``change`` is said in words."""

    number: int
    face: Face
    earlier: Observation | None
    later: Observation | None

    @property
    def change(self) -> str:
        """What the later report says against the earlier; from the rows, not from pictures."""
        if self.later is None:
            return "not in the later report"
        if self.later.state not in SEEN:
            return FeatureState(self.later.state).label
        if self.earlier is None or self.earlier.state not in SEEN:
            return "new, or not seen earlier"
        if self.later.state == FeatureState.GONE:
            return FeatureState.GONE.label
        return FeatureState(self.later.state).label

    @property
    def grown_mm(self) -> str:
        """Difference in length in mm where both were measured."""
        if self.earlier is None or self.later is None:
            return ""
        before, after = self.earlier.length_mm, self.later.length_mm
        if before is None or after is None or before == after:
            return ""
        return f"{(after - before).normalize():+f} mm"


@dataclass(frozen=True, slots=True, kw_only=True)
class ComparedFace:
    face: Face
    earlier: ReportFace | None
    later: ReportFace | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    earlier: ConditionReport
    later: ConditionReport
    faces: tuple[ComparedFace, ...]
    features: tuple[ComparedFeature, ...]


def compare(earlier: ConditionReport, later: ConditionReport) -> Comparison:
    """Return both reports beside each other; four queries whatever the number of features.

    :raises ValueError: if they are about two objects
    """
    if earlier.museum_object_id != later.museum_object_id:
        raise ValueError(f"{earlier} and {later} are about two objects.")
    rows: dict[int, dict[int, Observation]] = {}
    for report in (earlier, later):
        for seen in report.observations.filter(taken_back=False).select_related(
            "feature__face", "term", "picture"
        ):
            rows.setdefault(seen.feature.number, {})[report.pk] = seen
    faces: dict[int, dict[int, ReportFace]] = {}
    for report in (earlier, later):
        for covered in report.report_faces.filter(dropped=False).select_related("face", "picture"):
            faces.setdefault(covered.face_id, {})[report.pk] = covered
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
            ComparedFeature(
                number=number,
                face=next(iter(pair.values())).feature.face,
                earlier=pair.get(earlier.pk),
                later=pair.get(later.pk),
            )
            for number, pair in sorted(rows.items())
        ),
    )
