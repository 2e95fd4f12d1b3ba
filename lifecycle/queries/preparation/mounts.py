"""How an object is fixed in its mount: steps with pictures, or what was written whole."""

from collections.abc import Sequence

from lifecycle.process.words import FaceKind
from lifecycle.queries.preparation.facts import faces_of
from lifecycle.records.models.objects import Face
from lifecycle.records.models.preparation import FixingStep, Mount, MountFace
from lifecycle.records.models.showings import Showing


def fixing_steps(mount: Mount) -> Sequence[FixingStep]:
    """Return the steps in their order; one query."""
    rows = mount.fixing_steps.filter(dropped=False).select_related("picture")
    return list(rows.order_by("number", "pk"))


def fixing_lines(mount: Mount) -> tuple[str, ...]:
    """Return the instruction in lines: the steps, or else the lines of the ticket's own text."""
    steps = [step.text for step in fixing_steps(mount)]
    whole = [line.strip() for line in mount.fixing_instruction.splitlines() if line.strip()]
    return tuple(steps or whole)


def faces_without_mount(showing: Showing) -> list[Face]:
    """Return the faces of the plan that the next mount is for; three queries at most.

    Of openings it is the first alone: each takes a cradle of its own, at its own angle.
    """
    held = set(
        MountFace.objects.filter(
            dropped=False, mount__showing=showing, mount__retired_at=None
        ).values_list("face_id", flat=True)
    )
    without = [face for face in faces_of(showing) if face.pk not in held]
    if any(face.kind == FaceKind.OPENING for face in without):
        return without[:1]
    return without
