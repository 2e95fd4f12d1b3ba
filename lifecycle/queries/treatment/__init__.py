"""Treatment: proposals, who consents, which step is covered, what the gates ask."""

from lifecycle.queries.treatment.facts import proposal_facts_of

__all__ = ["proposal_facts_of"]
