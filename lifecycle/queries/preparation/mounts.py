"""How an object is fixed in its mount: steps with pictures, or what was written whole."""

from collections.abc import Sequence

from lifecycle.records.models.preparation import FixingStep, Mount


def fixing_steps(mount: Mount) -> Sequence[FixingStep]:
    """Return the steps in their order; one query."""
    rows = mount.fixing_steps.filter(dropped=False).select_related("picture")
    return list(rows.order_by("number", "pk"))


def fixing_lines(mount: Mount) -> tuple[str, ...]:
    """Return the instruction in lines: the steps, or else the lines of the ticket's own text."""
    steps = [step.text for step in fixing_steps(mount)]
    whole = [line.strip() for line in mount.fixing_instruction.splitlines() if line.strip()]
    return tuple(steps or whole)
