"""Gates of iron-gall ink: a bad ink is not shown, a poor one is not moved without a name."""

from collections.abc import Iterable, Iterator

from lifecycle.process.facts.objects import InkFacts
from lifecycle.process.facts.showing import ShowingFacts
from lifecycle.process.gates.blocker import Blocker
from lifecycle.process.stages import Role


def ink_may_be_shown(facts: ShowingFacts) -> Iterator[Blocker]:
    """The worst inked area rates its face; house rules say from which level it is not displayed."""
    plan, limit = {face.face_id for face in facts.faces}, facts.rules.ink_not_shown_from
    for ink in facts.object.ink:
        if limit is not None and ink.level >= limit and ink.face_id in plan:
            text = (
                f"{facts.object.number}, {ink.face}: its iron-gall ink is rated {ink.level.label} "
                f"({ink.area}, {ink.report}), which is not displayed. Show a facsimile or another "
                "face, or treat it and rate it again."
            )
            yield Blocker("ink.level", text, Role.CONSERVATOR, ink.face)


def not_signed_off(
    number: str, rated: Iterable[InkFacts], limit: int | None
) -> Iterator[tuple[InkFacts, str]]:
    """Every face moves with the object: each that is rated so and has no word yet, in a sentence.

    :param limit: the level from which a move is signed off; None: the house has no such rule
    """
    for ink in rated:
        if limit is not None and ink.level >= limit and not ink.signed_off:
            yield (
                ink,
                f"{number}, {ink.face}: its iron-gall ink is rated {ink.level.label} "
                f"({ink.area}, {ink.report}). A conservator signs off how it is moved, by name.",
            )


def ink_move_is_signed_off(facts: ShowingFacts) -> Iterator[Blocker]:
    """Each face that is rated so asks for a conservator's word."""
    limit = facts.rules.ink_sign_off_from
    for ink, text in not_signed_off(facts.object.number, facts.object.ink, limit):
        yield Blocker("ink.sign_off", text, Role.CONSERVATOR, ink.face)
