"""Which faces a draft covers: one more that could be looked at after all, one that could not."""

from collections.abc import Sequence
from datetime import datetime

from django.db import transaction

from lifecycle.actions.condition.draft import open_draft
from lifecycle.actions.condition.start import list_known_features
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.stages import Role
from lifecycle.process.words import FeatureState
from lifecycle.records.models.condition import ConditionReport, Observation, ReportFace
from lifecycle.records.models.objects import Face
from lifecycle.records.models.people import Person


@transaction.atomic
def choose_faces(
    *, report: ConditionReport, faces: Sequence[Face], by: Person, role: Role, at: datetime
) -> ConditionReport:
    """Let the draft cover exactly these faces; known features of a new one are listed with it.

    A face that is left out goes with its answers; they come back with it.

    :raises Refused: no face, a face of another object, one left out on which something was found
    """
    kept = open_draft(report, by=by, role=role, at=at)
    rows = {row.face_id: row for row in kept.report_faces.select_related("face")}
    wanted = {face.pk: face for face in faces}
    reasons = []
    if not wanted:
        reasons.append(Reason("Choose at least one face.", "faces", "condition.faces"))
    for face in faces:
        if face.museum_object_id != kept.museum_object_id:
            text = f"The face “{face}” does not belong to {kept.museum_object}."
            reasons.append(Reason(text, "faces", "condition.faces"))
    left_out = [row for pk, row in rows.items() if pk not in wanted and not row.dropped]
    found = Observation.objects.filter(
        report=kept,
        taken_back=False,
        state=FeatureState.FIRST_RECORD,
        feature__face__in=[row.face_id for row in left_out],
    ).select_related("feature__face")
    for seen in found.order_by("feature__number"):
        text = (
            f"F{seen.feature.number} was found on “{seen.feature.face}”: "
            "take it back first, or keep the face."
        )
        reasons.append(Reason(text, "faces", "condition.faces"))
    if reasons:
        raise Refused(reasons)
    for row in left_out:
        row.dropped = True
        row.keep(by=by, role=role, why="face not covered after all", at=at)
    for pk, face in wanted.items():
        covered = rows.get(pk)
        if covered is None:
            ReportFace(report=kept, face=face).keep(by=by, role=role, why="face added", at=at)
        elif covered.dropped:
            covered.dropped = False
            covered.keep(by=by, role=role, why="face covered again", at=at)
    _answers_go_with_their_face(kept, left_out, by=by, role=role, at=at)
    list_known_features(kept, list(wanted.values()), by=by, role=role, at=at)
    return kept


def _answers_go_with_their_face(
    report: ConditionReport,
    left_out: Sequence[ReportFace],
    *,
    by: Person,
    role: Role,
    at: datetime,
) -> None:
    answers = report.observations.filter(
        taken_back=False, feature__face__in=[row.face_id for row in left_out]
    )
    for seen in answers.order_by("pk"):
        seen.taken_back = True
        seen.revision += 1
        seen.keep(by=by, role=role, why="its face is not covered after all", at=at)
