"""The two looks after display: part A as found at the case, part B at the bench."""

from datetime import datetime

from django.db import transaction

from lifecycle.actions.condition.draft import open_draft
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.stages import Role
from lifecycle.process.words import ReportKind
from lifecycle.records.models.condition import AsFound, BenchCheck, ConditionReport
from lifecycle.records.models.condition.words import AsPlaced, NextStep
from lifecycle.records.models.people import Person
from lifecycle.records.models.pictures import Picture


@transaction.atomic
def record_as_found(
    *,
    report: ConditionReport,
    as_placed: AsPlaced,
    by: Person,
    role: Role,
    at: datetime,
    as_placed_note: str = "",
    dust: str = "",
    insects: int | None = None,
    pests_note: str = "",
    picture: Picture | None = None,
    emergency: bool = False,
) -> AsFound:
    """Write part A; whoever takes down may, since it asks for no grading. Again: it is replaced.

    :raises Refused: another kind of report, 'slipped' without a word on how
    """
    kept = open_draft(report, by=by, role=role, at=at)
    reasons = _reasons_about_kind(kept, ReportKind.DEINSTALL_AT_CASE, "Part A")
    if as_placed == AsPlaced.SLIPPED and not as_placed_note.strip():
        text = "It slipped: say how it lies now."
        reasons.append(Reason(text, "as_placed_note", "condition.as_found"))
    if reasons:
        raise Refused(reasons)
    found = AsFound.objects.filter(report=kept).first() or AsFound(report=kept)
    found.as_placed, found.as_placed_note = as_placed, as_placed_note.strip()
    found.dust, found.insects, found.pests_note = dust.strip(), insects, pests_note.strip()
    found.picture = picture or found.picture
    found.emergency = emergency
    return found.keep(by=by, role=role, why="part A as found", at=at)


@transaction.atomic
def record_bench_check(
    *,
    report: ConditionReport,
    same_lights: bool,
    next_step: NextStep,
    by: Person,
    role: Role,
    at: datetime,
    lights_note: str = "",
    lender_told_at: datetime | None = None,
    lender_told_by: Person | None = None,
) -> BenchCheck:
    """Write what follows from the look at the bench.

    :raises Refused: another kind of report, a lender told by nobody or in the future
    """
    kept = open_draft(report, by=by, role=role, at=at)
    reasons = _reasons_about_kind(kept, ReportKind.DEINSTALL_AT_BENCH, "Part B")
    if (lender_told_at is None) != (lender_told_by is None):
        text = "Say both when the lender was told and by whom, or neither."
        reasons.append(Reason(text, "lender_told_at", "condition.lender_told"))
    if lender_told_at is not None and lender_told_at > at:
        text = "The lender can't have been told in the future."
        reasons.append(Reason(text, "lender_told_at", "condition.lender_told"))
    if reasons:
        raise Refused(reasons)
    check = BenchCheck.objects.filter(report=kept).first() or BenchCheck(report=kept)
    check.same_lights, check.lights_note = same_lights, lights_note.strip()
    check.next_step = next_step
    check.lender_told_at, check.lender_told_by = lender_told_at, lender_told_by
    return check.keep(by=by, role=role, why="part B at the bench", at=at)


def _reasons_about_kind(report: ConditionReport, kind: ReportKind, part: str) -> list[Reason]:
    if report.kind == kind:
        return []
    text = f"{part} belongs to a {kind.label} report; {report} is another kind."
    return [Reason(text, code="condition.kind")]
