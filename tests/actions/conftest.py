"""What every action owes: the row it writes, or one that row hangs on, was locked in this deed."""

import sys
from collections import defaultdict
from collections.abc import Iterator
from typing import Any, Final

import pytest
from django.db import connection, models
from django.db.models.query import QuerySet

from lifecycle.records.base import AppendOnly, Kept
from tests.builders.display import Crew, make_crew
from tests.builders.object_table import make_lists

BEGINNINGS: Final = frozenset(
    {
        "CaseOpening",
        "CautionRule",
        "ClimateReading",
        "DeputyTerm",
        "Document",
        "Exhibition",
        "GuestPass",
        "HouseRules",
        "Incident",
        "Instrument",
        "LightEntry",
        "LightEvent",
        "LightProof",
        "Loan",
        "Look",
        "Material",
        "Movement",
        "Museum",
        "MuseumObject",
        "Person",
        "Picture",
        "Place",
        "Print",
        "RecommendationAnswer",
        "Requirement",
        "RouteCheck",
        "SensitivityClass",
        "Signature",
        "StandingConsent",
        "StepSequence",
        "StruckMove",
        "Word",
    }
)
"""New rows that hang on no other row's state, or (signature, struck move) are written by the deed
that holds what they are about."""


@pytest.fixture
def crew() -> Crew:
    """The people of the display, in a museum of their own."""
    return make_crew()


@pytest.fixture
def lists() -> None:
    """The words a table of objects uses."""
    make_lists()


@pytest.fixture(autouse=True)
def rows_are_locked(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """Let no action write a row that is not held; SQLite alone would never tell."""
    if request.node.get_closest_marker("django_db") is None:
        return
    request.getfixturevalue("db")
    if connection.in_atomic_block:
        _Deeds(len(connection.savepoint_ids)).watch(monkeypatch)


class _Deeds:
    """The rows held by each deed, a deed being one outermost transaction inside a test."""

    def __init__(self, outside: int) -> None:
        self.outside = outside
        self.held: dict[str | None, set[tuple[type, Any]]] = defaultdict(set)

    def watch(self, monkeypatch: pytest.MonkeyPatch) -> None:
        fetch, keep, append = QuerySet._fetch_all, Kept.keep, AppendOnly.append

        def fetching(rows: Any) -> None:
            fresh = rows._result_cache is None
            fetch(rows)
            if fresh and rows.query.select_for_update:
                self.hold(rows._result_cache)

        def keeping(row: Any, **said: Any) -> Any:
            self.ask(row)
            kept = keep(row, **said)
            self.hold([row])
            return kept

        def appending(row: Any) -> Any:
            self.ask(row)
            written = append(row)
            self.hold([row])
            return written

        monkeypatch.setattr(QuerySet, "_fetch_all", fetching)
        monkeypatch.setattr(Kept, "keep", keeping)
        monkeypatch.setattr(AppendOnly, "append", appending)

    def here(self) -> set[tuple[type, Any]]:
        return self.held[connection.savepoint_ids[self.outside]]

    def hold(self, rows: Any) -> None:
        if len(connection.savepoint_ids) > self.outside:
            self.here().update((type(row), row.pk) for row in rows if isinstance(row, models.Model))

    def ask(self, row: models.Model) -> None:
        """Fail where an action writes a row and holds neither it nor a row it points at."""
        caller = sys._getframe(2).f_code
        if "/lifecycle/actions/" not in caller.co_filename or "/demo/" in caller.co_filename:
            return
        name = type(row).__name__
        if len(connection.savepoint_ids) <= self.outside:
            pytest.fail(f"{caller.co_name} writes {name} outside a transaction")
        begins = row.pk is None and getattr(row, "corrects_id", None) is None
        if not (begins and name in BEGINNINGS) and not self.here() & set(_hangs_on(row)):
            pytest.fail(f"{caller.co_name} writes {name} without a lock")


def _hangs_on(row: models.Model) -> Iterator[tuple[type, Any]]:
    """The row itself and every row it points at."""
    yield type(row), row.pk
    for field in row._meta.concrete_fields:
        if field.remote_field is not None and field.related_model is not None:
            yield field.related_model, getattr(row, field.attname)
