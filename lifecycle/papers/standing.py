"""Whether a record moved on after a paper of it was printed, and in which words."""

from dataclasses import dataclass, replace
from datetime import datetime

from lifecycle.papers.filling.any_paper import record_of, words_for
from lifecycle.papers.filling.condition_report import condition_report_words
from lifecycle.papers.printed import words_of
from lifecycle.papers.sheets import PaperWords
from lifecycle.papers.words.condition_report import ConditionReportWords
from lifecycle.papers.words.stored import differences
from lifecycle.queries.signed_text.registry import digest_of, text_of
from lifecycle.records.models import (
    ConditionReport,
    PaperKind,
    Print,
    ProposalVersion,
    TreatmentReport,
)


@dataclass(frozen=True, slots=True)
class MovedOn:
    """What the paper says and what the record says now; `newer` names a later version."""

    newer: str
    lines: tuple[tuple[str, str, str], ...]


def _of_report(
    printed: ConditionReportWords, report: ConditionReport, at: datetime
) -> tuple[PaperWords, PaperWords]:
    """Both sides of a report; of one printed to be signed, who has signed it since is no change."""
    if not printed.to_sign:
        return printed, condition_report_words(report, at)
    text = report.digest or digest_of(text_of(report))
    now = condition_report_words(report, at, to_sign=text)
    return replace(printed, signed=now.signed, signed_by=now.signed_by), now


def moved_on(row: Print) -> MovedOn | None:
    """Compare the words of a print with the record as it stands, on the day of the printing.

    Figures that run with time (light so far) are asked as of the moment of printing, so that only
    what was written since makes a difference. None when nothing differs.
    """
    record = record_of(row.paper, row.record_uid)
    if record is None:
        return MovedOn("the record is no longer there", ())
    newer = ""
    if isinstance(record, ConditionReport):
        later = (
            ConditionReport.objects.filter(report_no=record.report_no, version__gt=record.version)
            .order_by("-version")
            .first()
        )
        newer = f"version {later.version}" if later else ""
    if isinstance(record, ProposalVersion):
        sent = record.proposal.versions.filter(version__gt=record.version).exclude(digest="")
        latest = sent.order_by("-version").first()
        newer = f"version {latest.version}" if latest else ""
    if isinstance(record, TreatmentReport):
        last = record.proposal.reports.order_by("-version").first()
        newer = f"version {last.version}" if last and last.version > record.version else ""
    printed = words_of(row.paper, row.words)
    try:
        if isinstance(printed, ConditionReportWords) and isinstance(record, ConditionReport):
            printed, now = _of_report(printed, record, row.printed_at)
        else:
            now = words_for(record, row.printed_at, PaperKind(row.paper))
    except ValueError as fault:
        return MovedOn(str(fault), ())
    lines = tuple(differences(printed, now))
    return MovedOn(newer, lines) if lines or newer else None
