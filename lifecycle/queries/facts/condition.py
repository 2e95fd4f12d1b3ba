"""Condition reports of the objects of showings, each in its latest version."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import tzinfo
from uuid import UUID

from django.db.models import F

from lifecycle.process.facts.condition import FeatureAnswer, ReportFacts
from lifecycle.process.gates.leaving import ASKS_AN_ANSWER
from lifecycle.process.stages import Role
from lifecycle.process.words import FeatureState, LightKind, ReportKind, SignCapacity
from lifecycle.records.models import (
    ConditionReport,
    Feature,
    LightUsed,
    Observation,
    ReportFace,
    Showing,
    Signature,
)

GUESTS = frozenset({Role.COURIER.value, Role.LENDER.value})
COMPARED = frozenset(
    {ReportKind.DEINSTALL_AT_BENCH, ReportKind.OFF_GOING_FACE, ReportKind.DEINSTALL_AT_CASE}
)


def reports_of(showings: Sequence[Showing], zone: tzinfo) -> dict[int, tuple[ReportFacts, ...]]:
    """Return, per showing, all live reports of its object, oldest first."""
    ids = {showing.museum_object_id for showing in showings}
    rows = _live(
        ConditionReport.objects.filter(museum_object__in=ids, struck_at=None)
        .annotate(compared_no=F("compared_with__report_no"))
        .defer("signed_text")
        .order_by("report_no", "version")
    )
    pks = [row.pk for row in rows]
    faces, pictured = _faces(pks)
    lights = _lights({*pks, *(row.compared_with_id for row in rows if row.compared_with_id)})
    signatures = _signatures([row.uid for row in rows])
    observations = _observations(pks)
    known = _known_features(ids)
    by_object: dict[int, list[tuple[int | None, ReportFacts]]] = defaultdict(list)
    for row in rows:
        seen = observations[row.pk]
        facts = _facts(
            row,
            zone=zone,
            faces=faces[row.pk],
            lights=lights,
            hands=signatures[row.uid],
            seen=seen,
            pictured=row.pk in pictured,
            missing=_unanswered(row, faces[row.pk], seen, known[row.museum_object_id]),
        )
        by_object[row.museum_object_id].append((row.showing_id, facts))
    return {
        showing.pk: tuple(
            _seen_from(facts, showing_id == showing.pk)
            for showing_id, facts in by_object[showing.museum_object_id]
        )
        for showing in showings
    }


def _seen_from(facts: ReportFacts, this_showing: bool) -> ReportFacts:
    if facts.this_showing is this_showing:
        return facts
    values = {name: getattr(facts, name) for name in facts.__slots__}
    return ReportFacts(**(values | {"this_showing": this_showing}))


def _live(rows: Iterable[ConditionReport]) -> list[ConditionReport]:
    """Leave out versions that a later signed version corrects."""
    found = list(rows)
    replaced = {row.corrects_id for row in found if row.digest and row.corrects_id}
    return sorted(
        (row for row in found if row.pk not in replaced),
        key=lambda row: (row.examined_at or row.entered_at, row.pk),
    )


def _faces(pks: Sequence[int]) -> tuple[dict[int, set[int]], set[int]]:
    """The faces each report covers, and the reports that carry a picture of one."""
    found: dict[int, set[int]] = defaultdict(set)
    pictured: set[int] = set()
    rows = ReportFace.objects.filter(report__in=pks, dropped=False)
    for report_id, face_id, picture_id in rows.values_list("report_id", "face_id", "picture_id"):
        found[report_id].add(face_id)
        if picture_id is not None:
            pictured.add(report_id)
    return found, pictured


def _lights(pks: set[int]) -> dict[int, set[LightKind]]:
    found: dict[int, set[LightKind]] = defaultdict(set)
    rows = LightUsed.objects.filter(report__in=pks, taken_back=False)
    for report_id, light in rows.values_list("report_id", "light"):
        found[report_id].add(LightKind(light))
    return found


def _signatures(uids: Sequence[UUID]) -> dict[UUID, list[tuple[str, str]]]:
    found: dict[UUID, list[tuple[str, str]]] = defaultdict(list)
    rows = Signature.objects.filter(record_uid__in=uids)
    for uid, role, capacity in rows.values_list("record_uid", "role", "capacity"):
        found[uid].append((role, capacity))
    return found


def _observations(pks: Sequence[int]) -> dict[int, list[Observation]]:
    found: dict[int, list[Observation]] = defaultdict(list)
    rows = Observation.objects.filter(report__in=pks, taken_back=False)
    for row in rows.select_related("feature").prefetch_related("verdicts").order_by("pk"):
        found[row.report_id].append(row)
    return found


def _known_features(object_ids: set[int]) -> dict[int, list[Feature]]:
    found: dict[int, list[Feature]] = defaultdict(list)
    rows = Feature.objects.filter(museum_object__in=object_ids).order_by("number")
    for row in rows.prefetch_related("observations__report"):
        found[row.museum_object_id].append(row)
    return found


def _unanswered(
    report: ConditionReport, faces: set[int], seen: list[Observation], known: list[Feature]
) -> tuple[str, ...]:
    """Features of these faces that were known before this report and have no line in it."""
    if ReportKind(report.kind) not in COMPARED or report.kind == ReportKind.DEINSTALL_AT_CASE:
        return ()
    answered = {line.feature_id for line in seen}
    missing = []
    for feature in known:
        if feature.pk in answered or feature.face_id not in faces:
            continue
        earlier = [
            line
            for line in feature.observations.all()
            if line.report_id != report.pk
            and not line.taken_back
            and line.report.digest
            and _when(line.report) <= _when(report)
        ]
        last = max(earlier, key=lambda line: (_when(line.report), line.pk), default=None)
        if last is not None and last.state != FeatureState.GONE:
            missing.append(f"F{feature.number}")
    return tuple(missing)


def _when(report: ConditionReport) -> float:
    return (report.examined_at or report.entered_at).timestamp()


def _facts(
    row: ConditionReport,
    *,
    zone: tzinfo,
    faces: set[int],
    lights: dict[int, set[LightKind]],
    hands: list[tuple[str, str]],
    seen: list[Observation],
    pictured: bool,
    missing: tuple[str, ...],
) -> ReportFacts:
    examined_at = row.examined_at or row.entered_at
    conservators = {capacity for role, capacity in hands if role == Role.CONSERVATOR}
    return ReportFacts(
        uid=str(row.uid),
        report_no=row.report_no,
        kind=ReportKind(row.kind),
        faces=frozenset(faces),
        examined_on=examined_at.astimezone(zone).date(),
        examined_at=examined_at,
        signed=row.digest != "",
        signed_by_conservator=SignCapacity.AUTHOR in conservators,
        countersigned_by_conservator=bool(conservators - {SignCapacity.AUTHOR.value}),
        courier_signed=any(role in GUESTS for role, _ in hands),
        compared_with=row.compared_no or "",  # type: ignore[attr-defined]  # annotated above
        none_known=row.none_known != "",
        lights=frozenset(lights[row.pk]),
        compared_lights=frozenset(lights[row.compared_with_id or 0]),
        photographed=pictured or any(line.picture_id is not None for line in seen),
        not_answered=missing,
        changes=tuple(_change(line) for line in seen if FeatureState(line.state) in ASKS_AN_ANSWER),
    )


def _change(line: Observation) -> FeatureAnswer:
    verdicts = sorted(line.verdicts.all(), key=lambda verdict: verdict.pk)
    last = verdicts[-1] if verdicts else None
    return FeatureAnswer(
        feature=f"F{line.feature.number}",
        state=FeatureState(line.state),
        answered=last is not None,
        incident_needed=last is not None and last.incident_needed,
        has_incident=last is not None and last.incident_id is not None,
    )
