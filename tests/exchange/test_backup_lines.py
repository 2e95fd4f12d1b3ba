"""Rows become lines and rows again; both databases' ways of keeping a value give one digest."""

import json
from datetime import UTC, date, datetime, time, timedelta, timezone
from decimal import Decimal
from typing import Any
from uuid import UUID

import pytest
from django.apps import apps
from django.db import models

from lifecycle.exchange.backup.lines import (
    Digest,
    UnknownColumn,
    digest_of_all,
    line_of,
    readers_of,
)
from lifecycle.records.models import Work

EVERY_MODEL = apps.get_models(include_auto_created=True)


@pytest.mark.parametrize("model", EVERY_MODEL, ids=lambda model: model._meta.db_table)
def test_every_column_of_the_house_can_be_kept(model: type[models.Model]) -> None:
    assert len(readers_of(model._meta.concrete_fields)) == len(model._meta.concrete_fields)


def test_a_column_of_a_kind_nobody_has_thought_of_is_refused_by_name() -> None:
    field = models.DurationField(name="span")
    field.model = Work
    with pytest.raises(UnknownColumn, match=r"Work\.span is a DurationField"):
        readers_of([field])


@pytest.mark.parametrize(
    ("field", "value", "text"),
    [
        (models.DateTimeField(), datetime(2026, 3, 14, 9, 0, 0, 5, tzinfo=UTC), None),
        (models.DateTimeField(), datetime(2026, 3, 14, tzinfo=UTC), '"2026-03-14T00:00:00+00:00"'),
        (models.DateField(), date(2026, 3, 14), '"2026-03-14"'),
        (models.TimeField(), time(9, 5), '"09:05:00"'),
        (models.DecimalField(max_digits=9, decimal_places=2), Decimal("1.20"), '"1.20"'),
        (models.DecimalField(max_digits=9, decimal_places=8), Decimal("0E-8"), '"0.00000000"'),
        (models.UUIDField(), UUID(int=7), '"00000000-0000-0000-0000-000000000007"'),
        (models.TextField(), 'a "b"\n\u2028 雨 \\', None),
        (models.TextField(), "", '""'),
        (models.TextField(), None, "null"),
        (models.BooleanField(), False, "false"),
        (models.BigIntegerField(), 2**62, str(2**62)),
        (models.JSONField(), {"b": [1, 2.5], "a": None}, '{"b":[1,2.5],"a":null}'),
        (models.BinaryField(), b"\x00\xff", '"AP8="'),
    ],
)
def test_a_value_comes_back_as_it_was(field: Any, value: Any, text: str | None) -> None:
    line = line_of([value])
    assert b"\n" not in line
    if text is not None:
        assert line.decode() == f"[{text}]"
    (read,) = readers_of([field])
    (raw,) = json.loads(line)
    assert (raw if raw is None or read is None else read(raw)) == value


def test_an_instant_says_the_same_from_every_zone() -> None:
    here = datetime(2026, 3, 14, 9, 0, tzinfo=UTC)
    assert line_of([here]) == line_of([here.astimezone(timezone(timedelta(hours=9)))])


def digest(fields: list[Any], *rows: list[Any]) -> str:
    found = Digest(fields)
    for row in rows:
        found.add(row)
    return found.hex()


def test_the_order_of_keys_and_a_point_too_many_are_the_databases_own() -> None:
    """PostgreSQL's jsonb keeps keys in an order of its own: its manual, 8.14 JSON Types."""
    fields = [models.JSONField()]
    one = digest(fields, [{"bb": 1.0, "a": [{"d": -0.0, "c": 2}]}])
    assert one == digest(fields, [{"a": [{"c": 2, "d": 0}], "bb": 1}])
    assert one != digest(fields, [{"a": [{"c": 2, "d": 1}], "bb": 1}])


def test_a_row_more_less_or_in_another_place_gives_another_digest() -> None:
    fields = [models.IntegerField(), models.TextField()]
    one = digest(fields, [1, "a"], [2, "b"])
    others = {
        digest(fields, [1, "a"]),
        digest(fields, [2, "b"], [1, "a"]),
        digest(fields, [1, "a"], [2, "B"]),
        digest(fields, [1, "a"], [2, "b"], [3, ""]),
    }
    assert one not in others
    assert len(others) == 4


def test_the_digest_of_all_tables_knows_each_ones_name_and_count() -> None:
    assert digest_of_all([("a", 1, "x"), ("b", 2, "y")]) == digest_of_all(
        [("b", 2, "y"), ("a", 1, "x")]
    )
    assert digest_of_all([("a", 1, "x")]) != digest_of_all([("a", 2, "x")])
    assert digest_of_all([("a", 1, "x")]) != digest_of_all([("c", 1, "x")])
