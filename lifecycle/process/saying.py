"""What a person says while making a move, and what a move asks to be said."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from lifecycle.process.facts.showing import ShowingFacts
from lifecycle.process.gates.blocker import Blocker
from lifecycle.process.gates.examining import current_proposals
from lifecycle.process.stages import Role, Stage


@dataclass(frozen=True, slots=True, kw_only=True)
class Saying:
    """The words and names given with a move. People are told apart by their database ids."""

    role: Role
    by: int = 0
    reason: str = ""
    second: int | None = None
    second_role: Role | None = None
    also_roles: frozenset[Role] = frozenset()
    """Further roles that the person making the move holds today."""

    emergency: bool = False
    limits_read: bool = False
    to: Stage | None = None


Ask = Callable[[ShowingFacts, Saying], Iterator[Blocker]]
HANDS = frozenset({Role.CONSERVATOR, Role.REGISTRAR, Role.TECHNICIAN})


def a_reason(facts: ShowingFacts, said: Saying) -> Iterator[Blocker]:
    if not said.reason.strip():
        text = f"Say why, in a sentence that will be read in years to come ({facts.object.number})."
        yield Blocker("say.reason", text, said.role)


def a_planned_turn_or_a_reason(facts: ShowingFacts, said: Saying) -> Iterator[Blocker]:
    if facts.display.next_turn() is None and not said.reason.strip():
        text = (
            f"No turn or swap is planned for {facts.object.number}: "
            "plan one, or say why it leaves its place."
        )
        yield Blocker("turn.planned", text, said.role)


def a_second_pair_of_hands(facts: ShowingFacts, said: Saying) -> Iterator[Blocker]:
    """Two names, even in a small museum where one person holds several roles."""
    if said.second is None or said.second == said.by or said.second_role not in HANDS:
        text = (
            f"Name a second person, with a conservator's, registrar's or technician's post, "
            f"for {facts.object.number}: two people do this together."
        )
        yield Blocker("say.second", text, said.role)


def two_hands_or_an_emergency(facts: ShowingFacts, said: Saying) -> Iterator[Blocker]:
    if said.emergency:
        if not said.reason.strip():
            text = f"Say what the emergency is for {facts.object.number}: the record keeps it."
            yield Blocker("say.reason", text, said.role)
        return
    yield from a_second_pair_of_hands(facts, said)
    if Role.CONSERVATOR not in (said.role, said.second_role):
        text = (
            f"A conservator takes {facts.object.number} down, or is the second person; "
            "in an emergency say so, and take it down at once."
        )
        yield Blocker("say.conservator", text, said.role)


def a_conservator_beside(facts: ShowingFacts, said: Saying) -> Iterator[Blocker]:
    """One person may hold both posts; otherwise the conservator is named."""
    both = Role.CONSERVATOR in said.also_roles
    named = said.second is not None and said.second_role is Role.CONSERVATOR
    if not both and not named:
        text = f"Name the conservator who does this with you for {facts.object.number}."
        yield Blocker("say.second", text, said.role)


def limits_are_read(facts: ShowingFacts, said: Saying) -> Iterator[Blocker]:
    aftercare = facts.stage is Stage.DEINSTALL_CHECK
    for proposal in current_proposals(facts, aftercare=aftercare):
        if proposal.limits and not proposal.report_signed and not said.limits_read:
            text = (
                f"{proposal.label} is agreed within limits ({'; '.join(proposal.limits)}): "
                "confirm that you have read them."
            )
            yield Blocker("say.limits", text, said.role, proposal.number)


def where_it_stands(facts: ShowingFacts, said: Saying) -> Iterator[Blocker]:
    if said.to not in TAKEN_OVER_INTO:
        wanted = ", ".join(stage.label for stage in Stage if stage in TAKEN_OVER_INTO)
        text = f"Say at which stage {facts.object.number} is taken over: {wanted}."
        yield Blocker("say.stage", text, said.role)


TAKEN_OVER_INTO = frozenset({Stage.MOUNTING, Stage.READY, Stage.ON_DISPLAY, Stage.REHOUSING})
