"""Which rows a deed locks, in order; SQLite locks the whole database and would never tell."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any
from unittest.mock import patch

from django.db.models.query import QuerySet


@contextmanager
def locked_rows() -> Iterator[list[str]]:
    """The names of the tables whose rows are read to be held until the transaction ends."""
    found: list[str] = []
    fetch = QuerySet._fetch_all

    def fetching(rows: Any) -> None:
        fresh = rows._result_cache is None
        fetch(rows)
        if fresh and rows.query.select_for_update:
            found.extend(type(row).__name__ for row in rows._result_cache)

    with patch.object(QuerySet, "_fetch_all", fetching):
        yield found
