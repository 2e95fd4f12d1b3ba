"""What is known of an object before somebody looks at it again."""

from datetime import datetime
from typing import Final

from django.db.models import Exists, OuterRef, Q, QuerySet

from lifecycle.process.words import FeatureState, ReportKind
from lifecycle.records.models.condition import ConditionReport, Feature, Observation
from lifecycle.records.models.objects import Face, MuseumObject
from lifecycle.records.models.treatment import TreatmentFinding

# Looks that are quick by their nature: no grading, no fitness, no full set of lights.
GLANCES: Final = frozenset(
    {
        ReportKind.AT_INSTALL,
        ReportKind.IN_DISPLAY,
        ReportKind.OFF_GOING_FACE,
        ReportKind.ON_COMING_FACE,
        ReportKind.DEINSTALL_AT_CASE,
    }
)
# Reports that stand for the whole face: a later one is compared with them.
FULL: Final = frozenset(set(ReportKind) - GLANCES)
SEEN: Final = frozenset(
    {
        FeatureState.FIRST_RECORD,
        FeatureState.SAME,
        FeatureState.WORSE,
        FeatureState.LESS,
        FeatureState.GONE,
        FeatureState.TREATED,
    }
)
CHANGED: Final = frozenset(
    {
        FeatureState.FIRST_RECORD,
        FeatureState.WORSE,
        FeatureState.LESS,
        FeatureState.GONE,
        FeatureState.TREATED,
    }
)


def saw_all(report: ConditionReport, *, nothing_further: bool) -> bool:
    """Whether a report looked at all of a face it covers: what it does not name was not there.

    ``nothing_further``: it says of this face that nothing further was seen.
    """
    return report.kind not in GLANCES or nothing_further or report.nothing_to_note


def standing(report: str) -> Q:
    """True where no signed correction has taken the report's place; ``report`` leads to its id."""
    later = ConditionReport.objects.filter(corrects=OuterRef(report)).exclude(digest="")
    return Q(~Exists(later))


def signed_reports(museum_object: MuseumObject) -> "QuerySet[ConditionReport]":
    """The signed reports of an object that no signed correction has replaced, newest first."""
    return (
        ConditionReport.objects.filter(standing("pk"), museum_object=museum_object)
        .exclude(digest="")
        .order_by("-examined_at", "-signed_at", "-pk")
    )


def last_signed(
    museum_object: MuseumObject,
    *,
    before: datetime | None = None,
    full: bool = True,
    face: Face | None = None,
) -> ConditionReport | None:
    """Return the report that a new look would be compared with; one query.

    ``full`` leaves out glances through glass; ``face`` asks for one that covers this face.
    """
    reports = signed_reports(museum_object)
    if before is not None:
        reports = reports.filter(examined_at__lt=before)
    if full:
        reports = reports.filter(kind__in=sorted(FULL))
    if face is not None:
        reports = reports.filter(report_faces__face=face, report_faces__dropped=False)
    return reports.first()


def known_features(
    museum_object: MuseumObject, *, faces: list[Face] | None = None
) -> list[Observation]:
    """Return, by feature number, the last signed sight of each feature that is not gone.

    One query whatever the number of features and reports; ``feature``, ``term`` and the report
    come with it.
    """
    seen = (
        Observation.objects.filter(
            feature__museum_object=museum_object, taken_back=False, state__in=sorted(SEEN)
        )
        .filter(standing("report"))
        .exclude(report__digest="")
        .select_related("feature__face", "term", "report")
        .order_by("feature__number", "-report__examined_at", "-report__signed_at", "-pk")
    )
    if faces is not None:
        seen = seen.filter(feature__face__in=faces)
    latest: dict[int, Observation] = {}
    for observation in seen:
        latest.setdefault(observation.feature_id, observation)
    return [last for last in latest.values() if last.state != FeatureState.GONE]


def found_in_treatment(museum_object: MuseumObject, *, faces: list[Face]) -> list[TreatmentFinding]:
    """Return what came to light during treatment and no report has told of yet; one query."""
    told = Observation.objects.filter(feature=OuterRef("feature"), taken_back=False)
    return list(
        TreatmentFinding.objects.filter(
            ~Exists(told), museum_object=museum_object, feature__face__in=faces
        )
        .select_related("feature__term", "picture", "observed_by")
        .order_by("feature__number")
    )


def next_feature_number(museum_object: MuseumObject) -> int:
    """Return the next number of a feature of this object; the caller holds the object's lock."""
    numbers = Feature.objects.filter(museum_object=museum_object).order_by("-number")
    return (numbers.values_list("number", flat=True).first() or 0) + 1
