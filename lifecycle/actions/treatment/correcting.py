"""A logged step that was written wrongly is written again: the new row names it, the old stays.

A correction tells better what was done then; it is no way to log what was done since.
"""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from lifecycle.actions.refusals import Reason
from lifecycle.process.minutes import before
from lifecycle.queries.treatment.covering import same_material
from lifecycle.records.models.treatment import Proposal, TreatmentStep

if TYPE_CHECKING:
    from lifecycle.actions.treatment.logging import StepDone


def faults_of_correction(
    wrong: TreatmentStep | None, done: "StepDone", proposal: Proposal | None
) -> Iterator[Reason]:
    """Yield what keeps ``done`` from standing for the step that was written wrongly."""
    if wrong is None:
        return
    if wrong.proposal_id != (proposal.pk if proposal else None):
        yield Reason("The step to be corrected was logged elsewhere: open it there.")
    if wrong.corrected_by.exists():
        text = "This step was written again already: correct the line that stands for it now."
        yield Reason(text, code="step.corrected")
    if before(wrong.entered_at, done.observed_at):
        text = (
            "A correction tells what was done before the step was written down: log what was done "
            "since as a step of its own."
        )
        yield Reason(text, "observed_at", "step.since")
    if wrong.deviation and not done.deviation:
        text = (
            "The step stands as a deviation, which somebody has to agree to: leave the tick in, "
            "and say in your words what was otherwise."
        )
        yield Reason(text, "deviation", "step.deviation")


def same_treatment(wrong: TreatmentStep | None, done: "StepDone") -> bool:
    """Whether a correction leaves alone what a consent speaks of, and when it was done.

    Step, face, material but for its batch, and no greater strength; then what covered the step
    covers the correction too, whatever was asked or answered since.
    """
    if wrong is None or wrong.emergency or done.emergency:
        return False
    if (done.step.pk, done.observed_at) != (wrong.step_id, wrong.observed_at):
        return False
    if (done.face.pk if done.face else None) != wrong.face_id:
        return False
    if done.material is None or wrong.material is None:
        return done.material is None
    stronger = done.concentration is not None and (
        wrong.concentration is None or done.concentration > wrong.concentration
    )
    return same_material(wrong.material, done.material) and not stronger
