"""Gates of what a finding made during treatment put in doubt: asked again before one goes on."""

from collections.abc import Iterator

from lifecycle.process.facts.showing import ShowingFacts
from lifecycle.process.facts.treatment import AskedAgainFacts
from lifecycle.process.finding_effects import AskedKind
from lifecycle.process.gates.blocker import Blocker


def _blocker(facts: ShowingFacts, asked: AskedAgainFacts) -> Blocker:
    who = asked.person or f"the {asked.role.label}"
    todo = "it is made anew and not there yet" if asked.made_anew else f"{who} is asked again"
    text = (
        f"{asked.feature}, found during the treatment of {facts.object.number}, puts the "
        f"{asked.what} in doubt ({asked.because}): {todo}."
    )
    return Blocker("finding.asked", text, asked.role, f"{asked.feature} {asked.what}")


def consents_after_findings_are_settled(facts: ShowingFacts) -> Iterator[Blocker]:
    for asked in facts.asked_again:
        if asked.kind is AskedKind.CONSENT:
            yield _blocker(facts, asked)


def findings_are_settled(facts: ShowingFacts) -> Iterator[Blocker]:
    """Pictures, facsimiles, mounts, accounts and consents that a finding put in doubt."""
    for asked in facts.asked_again:
        yield _blocker(facts, asked)
