"""A filled de-install form: part A into the report at the case, part B into that at the bench."""

import re
from collections.abc import Sequence
from typing import Any

from lifecycle.actions.condition.deinstall import record_as_found, record_bench_check
from lifecycle.actions.condition.draft import about_report, deed_for
from lifecycle.actions.condition.start import Occasion, start_report
from lifecycle.actions.reading_back.deciding import RECORD, Deciding, as_printed
from lifecycle.actions.reading_back.features import faces_of, take_known
from lifecycle.actions.reading_back.report import (
    take_conclusions,
    take_face,
    take_lights,
    take_not_seen,
    take_notes,
)
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.papers.sheets.asked import WRITE
from lifecycle.papers.words.deinstall_form import DeinstallFormWords
from lifecycle.process.rights import may
from lifecycle.process.words import ReportKind
from lifecycle.queries.condition.overview import part_of
from lifecycle.queries.rights import person_facts
from lifecycle.records.models import (
    AsFound,
    BenchCheck,
    ConditionReport,
    Face,
    Showing,
    Vocabulary,
    Word,
)
from lifecycle.records.models.condition.words import AsPlaced, NextStep

_REASON = "taken-down"


def take_deinstall(deciding: Deciding, showing: Showing, words: DeinstallFormWords) -> None:
    """Take in the part or parts that are filled; a report that is not begun yet is begun."""
    labels = [page.face.label for page in words.faces]
    if deciding.says_anything("a_"):
        shown = [words.shown_face] if words.shown_face else labels[:1]
        report = _part(deciding, showing, ReportKind.DEINSTALL_AT_CASE, shown)
        if report is not None:
            _part_a(deciding, report)
    if deciding.says_anything("b_"):
        report = _part(deciding, showing, ReportKind.DEINSTALL_AT_BENCH, labels)
        if report is not None:
            _part_b(deciding, report, labels)


def _part(
    deciding: Deciding, showing: Showing, kind: ReportKind, labels: Sequence[str]
) -> ConditionReport | None:
    """The open report of a part, locked; begun here when there is none. None: it takes nothing."""
    writer, thing = deciding.writer, showing.museum_object
    report = part_of(showing, kind)
    if report is not None and report.signed:
        text = f"{report} is signed: correct it by a new version to take in what the sheet says"
        deciding.note(kind.value, kind.label, showing.request_no, text, RECORD)
        return None
    about = about_report(report or ConditionReport(museum_object=thing, showing=showing, kind=kind))
    if not may(person_facts(writer.by, writer.at), deed_for(kind), about, writer.role):
        what = "A" if kind is ReportKind.DEINSTALL_AT_CASE else "B"
        text = f"Part {what} is not read back by a {writer.role.label}: leave it empty."
        raise Refused(Reason(text, "a_found" if what == "A" else "b_result", "paper.not_yours"))
    if report is not None:
        deciding.targets.append(str(report))
        return ConditionReport.objects.select_for_update(of=("self",)).get(pk=report.pk)
    reasons = Word.objects.filter(vocabulary=Vocabulary.REPORT_REASON, retired_on=None)
    reason = reasons.filter(code=_REASON).first() or reasons.order_by("label", "pk").first()
    if reason is None:
        raise Refused("The list of reasons for a report is empty: the steward adds words to it.")
    at_case = kind is ReportKind.DEINSTALL_AT_CASE
    report = start_report(
        museum_object=thing,
        kind=kind,
        faces=list(Face.objects.filter(museum_object=thing, label__in=labels)),
        reason=reason,
        occasion=Occasion(
            examined_at=writer.observed_at,
            examiners=[writer.written_by or writer.by],
            where=showing.place if at_case else thing.current_location,
        ),
        showing=showing,
        **writer.signed,
    )
    deciding.targets.append(str(report))
    return report


def _part_a(deciding: Deciding, report: ConditionReport) -> None:
    found = AsFound.objects.filter(report=report).first()
    then = as_printed(found, deciding.print.printed_at) if found else None
    ticked = deciding.one("a_found", "As found")
    pests = deciding.ticked("a_pests")
    values: dict[str, Any] = {
        "as_placed": AsPlaced(found.as_placed) if found else None,
        "as_placed_note": found.as_placed_note if found else "",
        "dust": found.dust if found else "",
        "insects": found.insects if found else None,
    }
    changed = False
    if ticked and deciding.wants(
        "a_found", "As found", ticked, str(AsPlaced(found.as_placed).label) if found else "",
        str(AsPlaced(then.as_placed).label) if then else None,
    ):  # fmt: skip
        values["as_placed"] = AsPlaced.SLIPPED if ticked == "slipped" else AsPlaced.AS_PLACED
        values["as_placed_note"] = deciding.text(f"a_found.{WRITE}")
        changed = True
    dust = next((one for one in pests if one.endswith("dust")), "")
    if {"dust", "no dust"} <= set(pests) or {"insects", "no insects"} <= set(pests):
        deciding.refuse(
            "A box and its opposite are both ticked; leave the one that counts.", "a_pests"
        )
    elif deciding.wants("a_pests", "Dust", dust, values["dust"], then.dust if then else None):
        values["dust"], changed = dust, True
    count = _count(deciding, "no insects" in pests)
    known = "" if values["insects"] is None else str(values["insects"])
    before = None if then is None else "" if then.insects is None else str(then.insects)
    if count is not None and deciding.wants(
        f"a_pests.{WRITE}", "Trap count", str(count), known, before
    ):
        values["insects"], changed = count, True
    if changed and values["as_placed"] is None:
        deciding.refuse("Tick whether it lay as placed or had slipped.", "a_found")
    elif changed:
        try:
            record_as_found(
                report=report,
                pests_note=found.pests_note if found else "",
                emergency=found.emergency if found else False,
                **values,
                **deciding.writer.signed,
            )
        except Refused as refused:
            deciding.carry_over(refused, "a_found")
    take_known(deciding, report, "a_glance")
    take_notes(deciding, report, f"a_note.{WRITE}")


def _count(deciding: Deciding, none: bool) -> int | None:
    written = deciding.text(f"a_pests.{WRITE}")
    if not written:
        return 0 if none else None
    found = re.fullmatch(r"\d+", written)
    if found is None:
        deciding.refuse("Write the trap count as a number alone.", f"a_pests.{WRITE}")
        return None
    return int(written)


def _part_b(deciding: Deciding, report: ConditionReport, labels: Sequence[str]) -> None:
    then = as_printed(report, deciding.print.printed_at)
    take_lights(deciding, report, "b_")
    take_not_seen(deciding, report, "b_")
    covered = {row.face.label: row.face for row in faces_of(report)}
    for number, label in enumerate(labels, start=1):
        if label in covered:
            table, further = f"b_features.{number}", f"b_further.{number}"
            take_face(deciding, report, covered[label], table, further)
    take_conclusions(deciding, report, then, names=("result",), part="b_")
    _next_step(deciding, report)
    take_notes(deciding, report, "b_notes")


def _next_step(deciding: Deciding, report: ConditionReport) -> None:
    ticked = deciding.one("b_next_step", "Next step")
    check = BenchCheck.objects.filter(report=report).first()
    then = as_printed(check, deciding.print.printed_at) if check else None
    now = str(NextStep(check.next_step).label) if check else ""
    before = str(NextStep(then.next_step).label) if then else None
    if not deciding.wants("b_next_step", "Next step", ticked, now, before):
        return
    try:
        record_bench_check(
            report=report,
            next_step=next(step for step in NextStep if str(step.label) == ticked),
            same_lights=check.same_lights if check else False,
            lights_note=check.lights_note if check else "",
            lender_told_at=check.lender_told_at if check else None,
            lender_told_by=check.lender_told_by if check else None,
            **deciding.writer.signed,
        )
    except Refused as refused:
        deciding.carry_over(refused, "b_next_step")
