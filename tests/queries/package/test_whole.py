"""Nothing is forgotten: every table, unit, word and name that a package needs is described."""

import csv

import pytest
from django.db import models

from lifecycle.queries.package.closed_words import FILE, OF_THE_PROCESS, closed_lists
from lifecycle.queries.package.columns import all_columns, coded_words
from lifecycle.queries.package.kinds import (
    LISTS,
    NOT_PACKED,
    PAGES,
    WHOLE_MUSEUM_ONLY,
    kinds,
    parts_of,
    record_models,
)
from lifecycle.queries.package.left_out import NEVER, OF_THE_MACHINE, RESTRICTED
from lifecycle.queries.package.naming import CALLED, NUMBERED
from lifecycle.queries.package.scope import (
    BELONGS_WITH,
    FOR_EXHIBITION,
    FROM_OBJECT,
    FROM_SHOWING,
    NAMED,
    WHILE_SHOWN,
)
from lifecycle.queries.package.units import is_told

NUMBERS = (models.IntegerField, models.DecimalField, models.FloatField)
# Lists whose words say themselves what they mean.
PLAIN_LISTS = {
    "JournalEntry.move", "LitSpan.weekday", "Exhibition.closed_weekdays", "GateDays.gate",
}  # fmt: skip


def own_tables() -> set[str]:
    """Tables of people's records, without the join tables and histories Django adds."""
    return {
        model.__name__
        for model in record_models()
        if not model._meta.auto_created and not hasattr(model, "m2m_history_id")
    }


def test_every_table_is_in_the_package_or_left_out_with_its_reason() -> None:
    packed = {kind.model.__name__ for kind in kinds()}
    assert packed | set(NOT_PACKED) == own_tables()
    assert not packed & set(NOT_PACKED)
    assert all(NOT_PACKED.values())


def test_every_kind_is_told_somewhere() -> None:
    """On a page, in a list, or inside a kind that is told: no circle that is never entered."""
    told = {kind.model for kind in kinds() if kind.folder or kind.in_list}
    while more := {
        part.model for model in told for part, _ in parts_of(model) if part.model not in told
    }:
        told |= more
    assert told == {kind.model for kind in kinds()}


def test_names_of_tables_in_the_rules_are_tables_there_are() -> None:
    named = {
        *PAGES, *LISTS, *WHOLE_MUSEUM_ONLY, *CALLED, *NUMBERED, *NAMED, *WHILE_SHOWN, *BELONGS_WITH,
        *FOR_EXHIBITION, *FROM_OBJECT, *FROM_SHOWING,
    }  # fmt: skip
    assert named <= own_tables()


def test_columns_that_are_left_out_are_columns_there_are() -> None:
    left_out = {
        *NEVER, *OF_THE_MACHINE, *(one for columns in RESTRICTED.values() for one in columns)
    }  # fmt: skip
    there = {
        (model.__name__, field.name) for model in record_models() for field in model._meta.fields
    }
    assert left_out <= there


def test_every_number_has_a_unit_in_words_or_only_counts() -> None:
    bare = [
        f"{kind.model.__name__}.{field.name}"
        for kind in kinds()
        for field in kind.model._meta.fields
        if isinstance(field, NUMBERS)
        and not field.primary_key
        and not coded_words(kind.model.__name__, field)
        and not is_told(kind.model.__name__, field.name)
    ]
    assert bare == []


def test_every_word_of_every_closed_list_is_defined() -> None:
    undefined = [
        f"{kind.model.__name__}.{column.name}: {code}"
        for kind in kinds()
        for column in all_columns(kind.model)
        for code in column.words
        if f"{kind.model.__name__}.{column.name}" not in PLAIN_LISTS and not column.means.get(code)
    ]
    assert undefined == []


def test_the_definitions_name_only_words_there_are() -> None:
    with FILE.open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    in_process = sum(len(means) for means in OF_THE_PROCESS)
    assert len(rows) + in_process == sum(len(means) for means in closed_lists().values())
    for codes, means in closed_lists().items():
        assert set(means) == codes


def test_every_table_that_others_name_has_a_full_name() -> None:
    pointed_at = {
        column.target.__name__
        for kind in kinds()
        for column in all_columns(kind.model)
        if column.target is not None
    }
    assert pointed_at <= set(CALLED)


@pytest.mark.parametrize("kind", kinds(), ids=lambda kind: kind.name)
def test_no_two_columns_of_a_table_have_the_same_heading(kind: object) -> None:
    headers = [column.header for column in all_columns(kind.model)]  # type: ignore[attr-defined]
    assert len(headers) == len(set(headers))


def unique_alone(model: type[models.Model], columns: tuple[str, ...]) -> bool:
    """Whether these columns of a table (or of its parent) are one record's alone."""
    local = tuple(column.partition("__")[0] for column in columns)
    if len(local) == 1:
        return bool(model._meta.get_field(local[0]).unique)  # type: ignore[union-attr]
    return any(
        set(one.fields) <= set(local)
        for one in model._meta.constraints
        if isinstance(one, models.UniqueConstraint) and one.condition is None
    ) or any(model._meta.get_field(name).unique for name in local)  # type: ignore[union-attr]


def test_what_a_page_is_called_is_its_records_alone() -> None:
    shared = [
        kind.model.__name__
        for kind in kinds()
        if kind.folder
        and kind.model.__name__ in NUMBERED
        and not unique_alone(kind.model, NUMBERED[kind.model.__name__][1])
    ]
    assert shared == []
