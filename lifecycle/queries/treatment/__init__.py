"""Treatment: proposals, who consents, which step is covered, what the gates ask."""

from lifecycle.queries.treatment.facts import asked_again_of, proposal_facts_of

__all__ = ["asked_again_of", "proposal_facts_of"]
