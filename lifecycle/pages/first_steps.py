"""The first steps of a new museum as one person sees them: with a link where they may go."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.urls import reverse

from lifecycle.pages.door import SignedInRequest
from lifecycle.process.rights import RIGHTS, Deed, always
from lifecycle.queries.first_steps import FirstStep, first_steps
from lifecycle.queries.rights import museum_day


@dataclass(frozen=True, slots=True)
class StepLine:
    """A step, where it is done, and who does it when it is not this person."""

    step: FirstStep
    href: str
    who: str


@dataclass(frozen=True, slots=True)
class FirstSteps:
    """All steps, and whether one that is open takes a role this person does not hold."""

    lines: Sequence[StepLine]
    takes_other_role: bool


def steps_for(request: SignedInRequest) -> FirstSteps | None:
    """The steps for the steward, until every one is done; nothing for anybody else."""
    if not request.may(Deed.STEWARD):
        return None
    steps = first_steps(museum_day(request.at))
    if all(step.done for step in steps):
        return None
    lines = [
        StepLine(
            step=step,
            href=reverse(step.route),
            who="" if request.may(step.deed) else _who(step.deed),
        )
        for step in steps
    ]
    return FirstSteps(lines, any(line.who and not line.step.done for line in lines))


def _who(deed: Deed) -> str:
    """The roles that may always do this, in words."""
    roles = [role.label for role, cell in RIGHTS[deed].items() if cell is always]
    return f"the {' or '.join(roles)}"
