"""Every rule the database keeps by itself, with rows it refuses and rows it keeps beside them.

The rows of ``checks.csv`` and ``uniques.csv`` were found by taking away or turning round each part
of a rule in turn, and read one by one: a rule that is taken out, weaker or stricter in one part, or
added without its rows fails here, on SQLite and PostgreSQL. “?” is a word of no list; a column that
a row does not name is empty.
"""

import pytest

from tests.records.stored_rules import (
    Probe,
    Unique,
    cases,
    checks,
    our_tables,
    rows_of,
    uniques,
)

pytestmark = pytest.mark.django_db

CHECKS = rows_of("checks.csv")
UNIQUES = rows_of("uniques.csv")


def test_the_table_of_checks_names_every_check_of_the_database_and_no_other() -> None:
    known = checks()
    stored = {
        (name, check) for name, model in our_tables().items()
        for check in known.get(model._meta.db_table, {})
    }  # fmt: skip
    named = [(row["table"], row["constraint"]) for row in CHECKS]
    assert len(named) == len(set(named))
    assert set(named) - stored == set(), "written down, but the database does not keep it"
    assert stored - set(named) == set(), "kept by the database without rows in checks.csv"


def test_each_check_refuses_and_keeps_the_rows_beside_it() -> None:
    known, tables, wrong = checks(), our_tables(), []
    probes: dict[str, Probe] = {}
    for row in CHECKS:
        model = tables[row["table"]]
        if row["table"] not in probes:
            probes = {row["table"]: Probe(model)}
        expression = known[model._meta.db_table].get(row["constraint"], "1 = 1")
        refused, kept = cases(row["refused"]), cases(row["kept"])
        assert refused, row
        assert kept, row
        passed = probes[row["table"]].answers(expression, [*refused, *kept])
        for case, passes in zip([*refused, *kept], passed, strict=True):
            if passes != (case in kept):
                wrong.append((row["constraint"], "kept" if passes else "refused", case))
    assert wrong == []


def columns_of(row: dict[str, str]) -> tuple[str, ...]:
    known = {
        field.name: str(field.column) for field in our_tables()[row["table"]]._meta.concrete_fields
    }
    return tuple(known[name] for name in row["columns"].split())


def found_beside(row: dict[str, str], stored: set[Unique]) -> list[Unique]:
    """The unique rows of the database that a line means: its columns, with a condition or none."""
    conditional = bool(row["counted"])
    return [
        one for one in stored if one.columns == columns_of(row) and bool(one.when) == conditional
    ]


def test_what_may_stand_once_is_what_the_table_says_and_counts_the_rows_it_names() -> None:
    wrong: list[object] = []
    for name, model in our_tables().items():
        stored, probe = uniques(model._meta.db_table), Probe(model)
        for row in (one for one in UNIQUES if one["table"] == name):
            beside = found_beside(row, stored)
            counted, left_out = cases(row["counted"]), cases(row["left out"])
            agreeing = [
                one for one in beside if not one.when or (
                    probe.counts(one.when, counted) == [True] * len(counted)
                    and probe.counts(one.when, left_out) == [False] * len(left_out)
                )
            ]  # fmt: skip
            if not agreeing:
                wrong.append(row)
            stored -= set(agreeing)
        wrong += [(name, one) for one in stored]
    assert wrong == []


@pytest.mark.parametrize("name", ["checks.csv", "uniques.csv"])
def test_the_lines_name_tables_there_are(name: str) -> None:
    assert {row["table"] for row in rows_of(name)} <= set(our_tables())
