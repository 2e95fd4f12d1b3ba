"""What a move is: from where, to where, by whom, through which gates, and why it is refused."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Final

from lifecycle.process.facts.showing import ShowingFacts, WaiverFacts
from lifecycle.process.gates.blocker import Blocker, Gate
from lifecycle.process.rights import Deed
from lifecycle.process.saying import Ask, Saying
from lifecycle.process.stages import Role, Stage
from lifecycle.process.switches import codes_off

NOT_YET: Final = "not asked for yet"


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """One line of the table. ``sources`` holds None where the move begins a showing.

    ``deeds`` says who may make it and which right it takes in that role; ``also`` holds the edge
    that the same move makes in another showing (passing on brings the next one to examination).
    """

    name: str
    label: str
    done: str
    sources: frozenset[Stage | None]
    targets: frozenset[Stage]
    deeds: Mapping[Role, Deed]
    gates: tuple[Gate, ...] = ()
    asks: tuple[Ask, ...] = ()
    also: tuple[Stage, Stage] | None = None

    @property
    def roles(self) -> frozenset[Role]:
        return frozenset(self.deeds)

    @property
    def edges(self) -> frozenset[tuple[Stage | None, Stage]]:
        """Every stage change this move may leave in a journal."""
        own = {(source, target) for source in self.sources for target in self.targets}
        return frozenset(own | ({self.also} if self.also else set()))

    def wrong_stage(self, facts: ShowingFacts) -> list[Blocker]:
        if facts.stage in self.sources:
            return []
        here = NOT_YET if facts.stage is None else f"at {facts.stage.label}"
        wanted = (
            " or ".join(stage.label for stage in Stage if stage in self.sources)
            or f"a showing that is {NOT_YET}"
        )
        text = f"{facts.object.number} is {here}; “{self.label.lower()}” starts from {wanted}."
        return [Blocker("move.wrong_stage", text, first_role(self.roles))]

    def standing(self, facts: ShowingFacts) -> list[Blocker]:
        """Return everything the gates miss, waived or not, each thing once.

        What the house rules leave out is not asked for.
        """
        off = codes_off(facts.rules.off)
        found = (blocker for gate in self.gates for blocker in gate(facts))
        return list({blocker.key: blocker for blocker in found if blocker.code not in off}.values())

    def blockers(self, facts: ShowingFacts) -> list[Blocker]:
        """Return what still blocks this move, all of it, in words; waived lines are left out."""
        return self.wrong_stage(facts) or [
            b for b in self.standing(facts) if facts.waiver_of(b.code, b.about) is None
        ]

    def waived(self, facts: ShowingFacts) -> list[tuple[Blocker, WaiverFacts]]:
        """Return what would block and was waived, with the waiver."""
        pairs = ((b, facts.waiver_of(b.code, b.about)) for b in self.standing(facts))
        return [(blocker, waiver) for blocker, waiver in pairs if waiver is not None]

    def refusals(self, facts: ShowingFacts, said: Saying) -> list[Blocker]:
        """Return every reason at once why the move can't be made now by this person."""
        wrong = self.wrong_stage(facts)
        asked = [] if wrong else [b for one in self.asks for b in one(facts, said)]
        return self.blockers(facts) + asked

    def target(self, facts: ShowingFacts, said: Saying) -> Stage:
        """Return the stage the move leads to; finishing treatment looks back at how it began."""
        if self.name == "finish_treatment":
            return Stage.REHOUSING if facts.aftercare else Stage.MOUNTING
        if len(self.targets) == 1:
            return next(iter(self.targets))
        if said.to is None or said.to not in self.targets:
            raise ValueError(f"{self.name} leads to several stages and none of them was named.")
        return said.to


def first_role(roles: Iterable[Role]) -> Role:
    return min(roles, key=list(Role).index)
