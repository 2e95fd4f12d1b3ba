"""From rows to facts: the only place that translates the database for the process.

Every part takes all the showings at once, so that the number of queries never grows with them.
"""

from lifecycle.queries.facts.showings import facts_of, facts_of_one, open_showings

__all__ = ["facts_of", "facts_of_one", "open_showings"]
