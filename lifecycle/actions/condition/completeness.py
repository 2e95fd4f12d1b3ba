"""What a report still lacks before it can be signed, in words. Reads only.

The page of signing shows the same reasons before anybody presses the button.
"""

from collections.abc import Iterator
from datetime import datetime
from typing import Final

from lifecycle.actions.refusals import Reason
from lifecycle.process.comparing import by_measures
from lifecycle.process.words import (
    Certainty,
    CompareResult,
    FeatureState,
    LightKind,
    ReportKind,
)
from lifecycle.queries.condition.compare import measures_of
from lifecycle.queries.condition.known import CHANGED, FULL, SEEN
from lifecycle.queries.signed_text.registry import digest_of, text_of
from lifecycle.records.models.condition import AsFound, BenchCheck, ConditionReport, Observation
from lifecycle.records.models.people import Person

# A first report of a state describes it in words too; a short inspection may live on its findings.
_DESCRIBES: Final = frozenset(
    {ReportKind.BASELINE, ReportKind.INCOMING, ReportKind.AFTER_TREATMENT}
)

_MEASURABLE: Final = frozenset({FeatureState.SAME, FeatureState.WORSE, FeatureState.LESS})


def reasons_against_signing(
    report: ConditionReport, *, at: datetime, by: Person | None = None
) -> list[Reason]:
    """Return every reason at once; none means that the report can be signed.

    :param by: who would sign; a section that they themselves have open stops nothing
    """
    return [*_reasons(report, at), *_taken(report, by)]


def digest_to_sign(report: ConditionReport, at: datetime) -> str:
    """Return the SHA-256 of the text that a hand signs; nothing while the draft lacks something."""
    if report.signed:
        return report.digest
    return "" if reasons_against_signing(report, at=at) else digest_of(text_of(report))


def _reasons(report: ConditionReport, at: datetime) -> Iterator[Reason]:
    seen = list(
        report.observations.filter(taken_back=False)
        .select_related("feature__face")
        .order_by("feature__number")
    )
    yield from _who_when_where(report, at)
    if ReportKind(report.kind) in FULL:
        yield from _whole_look(report, seen)
    yield from _answers(report, seen)
    yield from _comparison(report, seen)
    if report.kind == ReportKind.DEINSTALL_AT_CASE:
        yield from _part_a(report)
    if report.kind == ReportKind.DEINSTALL_AT_BENCH:
        yield from _part_b(report)


def _taken(report: ConditionReport, by: Person | None) -> Iterator[Reason]:
    """Signing waits for all sections: the text somebody is writing would come too late."""
    taken = report.sections.filter(taken_by__isnull=False).select_related("taken_by")
    for section in taken.exclude(taken_by=by).order_by("pk") if by else taken.order_by("pk"):
        text = (
            f"{section.taken_by} has the section “{section.get_name_display()}” open: wait until "
            "it is saved, or give it back for them."
        )
        yield Reason(text, "sections", "condition.section_taken")


def _who_when_where(report: ConditionReport, at: datetime) -> Iterator[Reason]:
    if not report.examiners.exists():
        yield Reason("Name who examined the object.", "examiners", "condition.who")
    if report.examined_at is None and report.examined_certainty != Certainty.NOT_KNOWN:
        text = "Enter when it was examined, or say that the time is not known."
        yield Reason(text, "examined_at", "condition.when")
    if report.examined_at is not None and report.examined_at > at:
        yield Reason("The examination lies in the future.", "examined_at", "condition.when")
    if report.where is None:
        yield Reason("Enter where it was examined.", "where", "condition.where")
    if not report.seen_as:
        text = "Say how the object was seen: unhoused, in its mount, framed, through glass …"
        yield Reason(text, "seen_as", "condition.seen_as")
    if not report.report_faces.filter(dropped=False).exists():
        yield Reason("Choose at least one face.", "faces", "condition.faces")


def _whole_look(report: ConditionReport, seen: list[Observation]) -> Iterator[Reason]:
    located = [
        row
        for row in seen
        if row.state in SEEN
        and (row.zone or row.box_left is not None or row.selector or row.clock_position)
    ]
    if not located and not report.nothing_to_note:
        text = (
            "No finding is located: mark at least one on the picture or by its zone, "
            "or tick “nothing to note”."
        )
        yield Reason(text, "observations", "condition.no_located_observation")
    if report.nothing_to_note and located:
        text = "“Nothing to note” is ticked, but there are findings: take the tick out."
        yield Reason(text, "nothing_to_note", "condition.nothing_to_note")
    if not report.everything_seen and not report.not_seen.filter(taken_back=False).exists():
        text = (
            "“Not seen” is not filled in: say what could not be seen, "
            "or tick that everything could be seen."
        )
        yield Reason(text, "not_seen", "condition.not_seen")
    if not report.lights_used.filter(taken_back=False).exists():
        text = "Note at least one light in which the object was looked at."
        yield Reason(text, "lights_used", "condition.lights")
    bare = report.report_faces.filter(dropped=False, picture=None).select_related("face")
    for row in bare.order_by("face__order", "face_id"):
        text = f"The face “{row.face}” has no picture in this report."
        yield Reason(text, "pictures", "condition.picture")
    if report.kind in _DESCRIBES and not report.sections.exclude(observed="").exists():
        text = "No section says in words what is there: write at least one."
        yield Reason(text, "sections", "condition.sections")
    missing = (
        ("grade", report.grade, "Choose the overall grade."),
        ("stability", report.stability, "Say whether the condition is stable."),
        ("fit_display", report.fit_display, "Say whether the object is fit for display."),
        ("fit_travel", report.fit_travel, "Say whether the object is fit for travel."),
        ("fit_handling", report.fit_handling, "Say whether the object is fit for handling."),
    )
    for field, value, text in missing:
        if not value:
            yield Reason(text, field, f"condition.{field}")
    limited = "with_limits" in {report.fit_display, report.fit_travel, report.fit_handling}
    if limited and not report.fit_limits:
        yield Reason("“With limits” needs the limits in words.", "fit_limits", "condition.limits")


def _answers(report: ConditionReport, seen: list[Observation]) -> Iterator[Reason]:
    full = ReportKind(report.kind) in FULL
    for row in seen:
        if row.state == FeatureState.NOT_LOOKED_AT and full and not row.note:
            text = (
                f"F{row.feature.number} on “{row.feature.face}” is not answered: say how it "
                "stands, or write in its note why it was not looked at."
            )
            yield Reason(text, "observations", "condition.unanswered")
        if full and row.state in SEEN and row.state != FeatureState.GONE and row.severity is None:
            text = f"F{row.feature.number} has no severity."
            yield Reason(text, "observations", "condition.severity")


def _comparison(report: ConditionReport, seen: list[Observation]) -> Iterator[Reason]:
    if report.compared_with is None:
        if not report.none_known:
            text = "Name the earlier report it is compared with, or say why none is known."
            yield Reason(text, "none_known", "condition.compared")
        return
    if not report.result:
        text = f"Say what the comparison with {report.compared_with} gives."
        yield Reason(text, "result", "condition.result")
    yield from _measured_otherwise(report.compared_with, seen)
    changed = [f"F{row.feature.number}" for row in seen if row.state in CHANGED]
    if changed and report.result == CompareResult.NO_CHANGE_SEEN:
        text = f"The result says “no change seen”, but {', '.join(changed)} says otherwise."
        yield Reason(text, "result", "condition.result")


def _measured_otherwise(earlier: ConditionReport, seen: list[Observation]) -> Iterator[Reason]:
    """A person may overrule the measures, but says why; both stay in the report."""
    then = {
        row.feature_id: measures_of(row)
        for row in earlier.observations.filter(taken_back=False, state__in=sorted(SEEN))
    }
    for row in seen:
        before = then.get(row.feature_id)
        if before is None or row.state not in _MEASURABLE or row.note:
            continue
        measured = by_measures(before, measures_of(row))
        if measured in {None, FeatureState.SAME, row.state}:
            continue
        said = FeatureState(row.state).label
        text = (
            f"F{row.feature.number} is called “{said}”, but by its measures it is "
            f"{'worse' if measured is FeatureState.WORSE else 'less'} than in {earlier}: change "
            "the answer or the measure, or say in its note why."
        )
        yield Reason(text, "observations", "condition.measured_otherwise")


def _part_a(report: ConditionReport) -> Iterator[Reason]:
    found = AsFound.objects.filter(report=report).first()
    if found is None:
        text = "Fill in what was found at the case before anything was moved."
        yield Reason(text, "as_found", "condition.as_found")
        return
    if found.picture is None:
        yield Reason("Attach the photograph as found.", "picture", "condition.as_found_picture")


def _part_b(report: ConditionReport) -> Iterator[Reason]:
    check = BenchCheck.objects.filter(report=report).first()
    if check is None:
        text = "Say whether the lights were the same as before, and what happens next."
        yield Reason(text, "next_step", "condition.bench_check")
        return
    if report.compared_with is None:
        return
    if not check.same_lights and not check.lights_note:
        text = "Say why the lights were not those of the earlier report."
        yield Reason(text, "lights_note", "condition.same_lights")
    if check.same_lights:
        used = _lights(report)
        missing = [light.label for light in _lights(report.compared_with) if light not in used]
        if missing:
            text = (
                f"“Same lights” is ticked, but {report.compared_with} was also examined in "
                f"{', '.join(missing)} light: look in it too, or take out the tick and say why."
            )
            yield Reason(text, "same_lights", "condition.same_lights")


def _lights(report: ConditionReport) -> list[LightKind]:
    """The kinds of light of a report, each once, in the order in which they were used."""
    used = report.lights_used.filter(taken_back=False).order_by("number")
    return list(dict.fromkeys(LightKind(kind) for kind in used.values_list("light", flat=True)))
