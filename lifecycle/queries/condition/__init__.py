"""Reads about condition: known features, reports, comparison, dating of a change."""

from lifecycle.queries.condition.overview import on_object, on_showing

__all__ = ["on_object", "on_showing"]
