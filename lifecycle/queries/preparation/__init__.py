"""What is made for an object: images, facsimiles, captions, mounts, cases, routes, housing."""

from lifecycle.queries.preparation.facts import preparation_facts_of
from lifecycle.queries.preparation.housing import NOT_HOUSED, housing_refusals, units_of

__all__ = ["NOT_HOUSED", "housing_refusals", "preparation_facts_of", "units_of"]
