"""A line of the step log as pages show it: how its deviation stands, and whether it still holds."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from lifecycle.process.days import day_words
from lifecycle.queries.treatment.consenting import Clock, latest_words
from lifecycle.queries.treatment.covering import corrected_in, deviation_waits_for
from lifecycle.records.models.treatment import ProposalVersion, TreatmentStep


@dataclass(frozen=True, slots=True, kw_only=True)
class StepLine:
    """One step. ``struck``: it was written again; ``deviation`` says who agreed or who has not."""

    step: TreatmentStep
    struck: bool = False
    deviation: str = ""
    waits: bool = False


def step_lines(
    steps: Iterable[TreatmentStep], versions: Sequence[ProposalVersion], clock: Clock
) -> tuple[StepLine, ...]:
    """Return the lines of a log that was read by ``whole_proposals``; no further query."""
    rows = list(steps)
    struck = corrected_in(rows)
    return tuple(
        _line(step, struck=step.pk in struck, versions=versions, clock=clock) for step in rows
    )


def _line(
    step: TreatmentStep, *, struck: bool, versions: Sequence[ProposalVersion], clock: Clock
) -> StepLine:
    if not step.deviation or step.version_id is None:
        return StepLine(step=step, struck=struck)
    missing = deviation_waits_for(step, versions, clock)
    if not missing:
        return StepLine(step=step, struck=struck, deviation=agreed_words(step, clock))
    words = [
        f"{one.who} answered “{one.answer}”" if one.decided else f"waits for {one.who}"
        for one in missing
    ]
    return StepLine(step=step, struck=struck, deviation=", ".join(words), waits=not struck)


def agreed_words(step: TreatmentStep, clock: Clock) -> str:
    """Return who agrees to a deviation and since when, with the limits they set."""
    said = []
    for one in latest_words(list(step.decisions.all()), clock):
        limits = f" ({one.limits})" if one.limits else ""
        said.append(
            f"{one.speaker or one.person.full_name}, {day_words(clock.day(one.decided_at))}{limits}"
        )
    return f"agreed: {'; '.join(said)}"
