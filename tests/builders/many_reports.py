"""One object with many features on one face and many signed reports: rows alone, for counting."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

from django.db import models

from lifecycle.process.stages import Role
from lifecycle.process.words import FeatureState, ReportKind
from lifecycle.records.keeping import keep_all
from lifecycle.records.models import Face, Person
from lifecycle.records.models.condition import ConditionReport, Feature, Observation, ReportFace
from tests.builders.condition import make_picture, start_draft, term
from tests.builders.core import AT, make_face

ROWS_OF_EARLIER = 4


def many_reports(by: Person, *, features: int, reports: int) -> ConditionReport:
    """Return an open draft about a face with ``features`` known, after ``reports`` signed ones.

    The first signed report names all features, the later ones some; a third of their answers say
    'worse', so that there is something to date.
    """
    face = make_face()
    told: dict[str, Any] = {"by": by, "role": Role.CONSERVATOR, "why": "many", "at": AT}
    first = start_draft(faces=[face], by=by, at=AT - timedelta(days=2 * reports))
    known = [
        Feature(museum_object=face.museum_object, face=face, number=number, term=term())
        for number in range(1, features + 1)
    ]
    keep_all(known, **told)
    _look(first, known, FeatureState.FIRST_RECORD, told)
    _picture(first, face, by)
    _sign([first])
    later = []
    for number in range(1, reports):
        at = AT - timedelta(days=2 * (reports - number))
        report = ConditionReport(
            report_no=f"CR-{first.pk}-{number}",
            code=f"{first.pk:03d}{number:04d}"[-7:],
            museum_object=face.museum_object,
            kind=ReportKind.CALL_BACK,
            reason=first.reason,
            examined_at=at,
            where=first.where,
            seen_as=first.seen_as,
            entered_at=at,
            entered_by=by,
        )
        later.append(report)
    keep_all(later, **told)
    keep_all([ReportFace(report=report, face=face) for report in later], **told)
    for number, report in enumerate(later):
        state = FeatureState.WORSE if number % 3 == 0 else FeatureState.SAME
        _look(report, known[:ROWS_OF_EARLIER], state, told)
    _sign(later)
    draft = start_draft(faces=[face], by=by, kind=ReportKind.CALL_BACK)
    _picture(draft, face, by)
    return draft


def _look(
    report: ConditionReport, known: list[Feature], state: FeatureState, told: dict[str, Any]
) -> None:
    keep_all(
        [
            Observation(
                report=report,
                feature=feature,
                term=feature.term,
                state=state,
                zone="C2",
                length_mm=Decimal(14),
                severity=1,
                written_by=told["by"],
                written_at=AT,
            )
            for feature in known
        ],
        **told,
    )


def _picture(report: ConditionReport, face: Face, by: Person) -> None:
    row = report.report_faces.get()
    row.picture = make_picture(face, by)
    row.keep(by=by, role=Role.CONSERVATOR, why="many", at=AT)


def _sign(reports: list[ConditionReport]) -> None:
    plain: models.QuerySet[ConditionReport] = models.QuerySet(model=ConditionReport)
    plain.filter(pk__in=[report.pk for report in reports]).update(
        digest="0" * 64, signed_text="Said.", signed_at=AT
    )
