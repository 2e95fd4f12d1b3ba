"""What a treatment report wants before it is signed, on screen or on paper."""

from collections.abc import Iterator, Sequence
from datetime import datetime
from typing import Final

from lifecycle.actions.refusals import Reason
from lifecycle.process.days import day_words
from lifecycle.process.minutes import before as earlier
from lifecycle.process.words import ReportKind
from lifecycle.queries.treatment.consenting import clock_at
from lifecycle.queries.treatment.covering import open_deviations, standing_only
from lifecycle.queries.treatment.facts import faces_to_picture
from lifecycle.records.models.objects import Face
from lifecycle.records.models.people import Person
from lifecycle.records.models.treatment import (
    STAYS_ON,
    MaterialKind,
    Proposal,
    TreatmentReport,
    TreatmentStep,
)

TEXTS: Final = {
    "summary": "What was done",
    "not_done": "What was left undone",
    "remaining_risks": "Remaining risks",
    "new_limits": "New limits",
    "housing_advice": "Advice for the housing",
    "take_off": "How it can be taken off again",
    "removed_kept_where": "Where removed matter is kept",
    "not_pictured": "Faces that could not be pictured",
}
ALWAYS_SAID: Final = ("summary", "not_done", "remaining_risks", "new_limits", "housing_advice")
"""Texts that every signed report has, if only to say that there is nothing."""


def missing_of_report(
    report: TreatmentReport, proposal: Proposal, person: Person, at: datetime
) -> Iterator[Reason]:
    """Yield what keeps a report from being signed."""
    if person.pk != report.author_id:
        text = (
            f"{report.author.full_name} wrote this report and signs it; nobody signs for another."
        )
        yield Reason(text, code="signing.author")
    for name in ALWAYS_SAID:
        if not getattr(report, name):
            yield Reason(f"{TEXTS[name]}: say it, or say that there is nothing.", name)
    steps = standing_only(proposal.steps.all())
    if any(step.removed for step in steps) and not report.removed_kept_where:
        yield Reason("Matter was removed: say where it is kept.", "removed_kept_where")
    if (stays := _what_stays(steps)) and not report.take_off:
        text = f"{stays} stayed on the object: say how it can be taken off again, decades from now."
        yield Reason(text, "take_off", "treatment.take_off")
    if report.second_reader_asked and report.second_reader is None:
        yield Reason("The house rules ask for a second reader: name one.", "second_reader")
    clock = clock_at(at)
    for step in open_deviations(steps, list(proposal.versions.all()), clock):
        day = clock.day(step.observed_at)
        text = f"The deviation of {day_words(day)} ({step.step.label}) is not consented yet."
        yield Reason(text, code="treatment.deviation")
    yield from _missing_check(report, proposal)
    faces = list(Face.objects.filter(museum_object=proposal.museum_object).order_by("order", "pk"))
    paired = {pair.face_id for pair in report.pairs.all()}
    for face in faces_to_picture(proposal, faces, report):
        if face.pk not in paired:
            text = f"{face.label}: choose the pictures before and after, in the same light."
            yield Reason(text, "pairs", "treatment.images")


def _what_stays(steps: Sequence[TreatmentStep]) -> str:
    """Name what was put on the object and stays there; a repair is made to be undone."""
    used = {
        step.material.name
        for step in steps
        if step.material is not None and MaterialKind(step.material.kind) in STAYS_ON
    }
    names = sorted(used)
    return f"{', '.join(names[:-1])} and {names[-1]}" if len(names) > 1 else "".join(names)


def _missing_check(report: TreatmentReport, proposal: Proposal) -> Iterator[Reason]:
    check = report.after_check
    if check is None:
        yield Reason("Name the signed check after treatment.", "after_check", "treatment.check")
        return
    if check.kind != ReportKind.AFTER_TREATMENT or not check.signed:
        text = f"{check.report_no} is not a signed check after treatment."
        yield Reason(text, "after_check", "treatment.check")
    steps = standing_only(proposal.steps.all())
    last = max((step.observed_at for step in steps), default=None)
    if last and (check.examined_at is None or earlier(check.examined_at, last)):
        text = f"{check.report_no} was made before the last step: look again after it."
        yield Reason(text, "after_check", "treatment.check")
