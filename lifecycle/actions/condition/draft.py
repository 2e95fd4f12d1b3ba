"""The draft that every deed on a report starts from: locked, open, and by somebody who may."""

from collections.abc import Iterable
from datetime import datetime
from typing import Final

from lifecycle.actions.allowing import allow
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.rights import Deed, SubjectFacts
from lifecycle.process.stages import Role
from lifecycle.process.words import ReportKind
from lifecycle.queries.rights import about_object, about_showing
from lifecycle.records.models.condition import ConditionReport
from lifecycle.records.models.people import Person

# Part A is written by whoever takes down; every other report by a conservator.
DEED_OF_KIND: Final = {ReportKind.DEINSTALL_AT_CASE: Deed.PART_A}


def deed_for(kind: str) -> Deed:
    return DEED_OF_KIND.get(ReportKind(kind), Deed.EXAMINE)


def about_report(report: ConditionReport) -> SubjectFacts:
    """What a deed on this report is about."""
    if report.showing is not None:
        at_case = report.kind == ReportKind.DEINSTALL_AT_CASE
        return about_showing(report.showing, at_take_down=at_case)
    return about_object(report.museum_object)


def open_draft(report: ConditionReport, *, by: Person, role: Role, at: datetime) -> ConditionReport:
    """Lock the report and return it as it stands now, if it may still be written.

    :raises NotAllowed: if this role may not write this kind of report
    :raises Refused: if it is signed or struck
    """
    kept = (
        ConditionReport.objects.select_for_update(of=("self",))
        .select_related("museum_object", "showing__museum_object")
        .get(pk=report.pk)
    )
    allow(by=by, role=role, deed=deed_for(kept.kind), at=at, about=about_report(kept))
    if kept.signed:
        text = (
            f"Report {kept} is signed and stays as it is. "
            "To change something, correct it by a new version."
        )
        raise Refused(Reason(text, code="condition.signed"))
    if kept.struck_at is not None:
        text = f"The draft {kept} was struck; start a new report."
        raise Refused(Reason(text, code="condition.struck"))
    return kept


def put_examiners(report: ConditionReport, people: Iterable[Person]) -> None:
    """Name who looked; the history row comes from the ``keep`` that follows, with its person."""
    report.put_lists(examiners=people)
