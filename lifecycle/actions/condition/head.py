"""Save the circumstances or the conclusions of a report; each is guarded like a section."""

from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction

from lifecycle.actions.condition.contested import told_apart
from lifecycle.actions.condition.draft import open_draft, put_examiners
from lifecycle.actions.condition.start import Occasion, put_occasion, reasons_about_time
from lifecycle.actions.refusals import Conflict, Reason, Refused
from lifecycle.process.stages import Role
from lifecycle.process.words import Certainty
from lifecycle.queries.changes import who_saved
from lifecycle.queries.rights import museum_day
from lifecycle.records.models.condition import ConditionReport
from lifecycle.records.models.people import Person
from lifecycle.records.models.words import Vocabulary, Word


@dataclass(frozen=True, slots=True, kw_only=True)
class Circumstances:
    """Why and how the object was looked at, and with which report it is compared."""

    occasion: Occasion
    reason: Word
    components_complete: bool | None = None
    components_note: str = ""
    compared_with: ConditionReport | None = None
    none_known: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Conclusions:
    """What follows: grade, stability, result, fitness. Words of the closed lists, or empty."""

    grade: str = ""
    stability: str = ""
    result: str = ""
    fit_display: str = ""
    fit_travel: str = ""
    fit_handling: str = ""
    fit_limits: str = ""
    treatment_needed: str = ""
    next_check_due: date | None = None
    everything_seen: bool = False
    nothing_to_note: bool = False


@transaction.atomic
def save_circumstances(
    *,
    report: ConditionReport,
    circumstances: Circumstances,
    revision: int,
    by: Person,
    role: Role,
    at: datetime,
) -> ConditionReport:
    """Save why, when, where and by whom it was looked at.

    :raises Conflict: if somebody saved the circumstances meanwhile
    :raises Refused: an impossible time, a report of another object to compare with
    """
    kept = open_draft(report, by=by, role=role, at=at)
    if revision != kept.circumstances_revision:
        raise _contested_circumstances(kept, circumstances)
    reasons = reasons_about_time(circumstances.occasion, at)
    reasons += _reasons_about_comparison(kept, circumstances)
    if circumstances.reason.vocabulary != Vocabulary.REPORT_REASON:
        reasons.append(Reason(f"“{circumstances.reason}” is not a reason for a report.", "reason"))
    if reasons:
        raise Refused(reasons)
    put_occasion(kept, circumstances.occasion)
    kept.reason = circumstances.reason
    kept.components_complete = circumstances.components_complete
    kept.components_note = circumstances.components_note.strip()
    kept.compared_with = circumstances.compared_with
    kept.none_known = circumstances.none_known.strip()
    kept.circumstances_revision += 1
    # First the people, so that the one history row of this save carries them too.
    put_examiners(kept, circumstances.occasion.examiners)
    return kept.keep(by=by, role=role, why="circumstances written", at=at)


def _reasons_about_comparison(
    report: ConditionReport, circumstances: Circumstances
) -> list[Reason]:
    earlier = circumstances.compared_with
    if earlier is None:
        return []
    if earlier.museum_object_id != report.museum_object_id or earlier.pk == report.pk:
        text = f"Report {earlier} is not an earlier report of {report.museum_object}."
        return [Reason(text, "compared_with", "condition.compared")]
    if not earlier.signed:
        text = f"Report {earlier} is not signed yet; compare with a signed one."
        return [Reason(text, "compared_with", "condition.compared")]
    if circumstances.none_known.strip():
        text = f"Either compare with {earlier}, or say that none is known: not both."
        return [Reason(text, "none_known", "condition.compared")]
    return []


@transaction.atomic
def save_conclusions(
    *,
    report: ConditionReport,
    conclusions: Conclusions,
    revision: int,
    by: Person,
    role: Role,
    at: datetime,
) -> ConditionReport:
    """Save grade, stability, result and fitness; they are the conservator's choice.

    :raises Conflict: if somebody saved the conclusions meanwhile
    :raises Refused: a next check before the examination, 'everything seen' beside 'not seen'
    """
    kept = open_draft(report, by=by, role=role, at=at)
    if revision != kept.conclusions_revision:
        raise _contested(
            kept,
            "conclusions",
            kept.conclusions_revision,
            told_apart(Conclusions.__dataclass_fields__, kept, conclusions),
        )
    reasons = []
    due = conclusions.next_check_due
    if due is not None and kept.examined_at and due < museum_day(kept.examined_at):
        text = "The next check can't be due before this examination."
        reasons.append(Reason(text, "next_check_due", "condition.next_check"))
    if conclusions.everything_seen and kept.not_seen.filter(taken_back=False).exists():
        text = "“Everything could be seen” contradicts the list of what was not seen; change one."
        reasons.append(Reason(text, "everything_seen", "condition.not_seen"))
    if reasons:
        raise Refused(reasons)
    for name in Conclusions.__dataclass_fields__:
        setattr(kept, name, getattr(conclusions, name))
    kept.conclusions_revision += 1
    return kept.keep(by=by, role=role, why="conclusions written", at=at)


def occasion_of(report: ConditionReport) -> Occasion:
    """The occasion as it stands in a report."""
    return Occasion(
        examined_at=report.examined_at,
        examined_until=report.examined_until,
        certainty=Certainty(report.examined_certainty),
        examiners=list(report.examiners.all()),
        present=report.present,
        where=report.where,
        light_there=report.light_there,
        light_there_note=report.light_there_note,
        seen_as=report.seen_as,
        requested_by=report.requested_by,
    )


def _contested_circumstances(report: ConditionReport, mine: Circumstances) -> Conflict:
    own = [name for name in Circumstances.__dataclass_fields__ if name != "occasion"]
    stored, typed = told_apart(own, report, mine)
    theirs, ours = told_apart(Occasion.__dataclass_fields__, occasion_of(report), mine.occasion)
    return _contested(
        report,
        "circumstances",
        report.circumstances_revision,
        (theirs | stored, ours | typed),
    )


def _contested(
    report: ConditionReport,
    what: str,
    stored: int,
    apart: tuple[dict[str, str], dict[str, str]],
) -> Conflict:
    writer = who_saved(report)
    text = (
        f"{writer} saved the {what} of {report} while you were writing. "
        "What is stored stands beside yours: bring them together and save again."
    )
    theirs, mine = apart
    return Conflict(text, theirs=theirs, mine=mine, by=writer, version=stored)
