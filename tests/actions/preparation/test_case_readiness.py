"""A case made ready: built, cured, cleaned, buffered, lit, proven; each line from its record.

Outside check: three weeks at least for sealants and finishes to cure are common practice, from
memory.
"""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest

from lifecycle.actions.preparation.cases import CaseMade, say_case_ready, write_case
from lifecycle.actions.refusals import Conflict, Refused
from lifecycle.process.case_state import CaseState, case_lines, cures_too_short
from lifecycle.process.gates.preparing import case_is_proven
from lifecycle.process.stages import Role
from lifecycle.queries.facts import facts_of_one
from lifecycle.records.models import Document
from lifecycle.records.models.preparation import (
    CaseReadiness,
)
from tests.actions.preparation.test_cases_and_housing import facts
from tests.builders.core import AT, DAY, kept_by, make_person
from tests.builders.preparation import Workshop
from tests.builders.treatment import HOUR

pytestmark = pytest.mark.django_db
BAND = "48 to 51 % RH"


@pytest.fixture
def shop() -> Workshop:
    return Workshop()


def make_layout() -> Document:
    return Document(
        sha256="0" * 64,
        name="layout.pdf",
        mime="application/pdf",
        size_bytes=1,
        title="Layout of N3",
        entered_at=AT,
        entered_by=make_person(Role.CONSERVATOR),
    ).keep(**kept_by())


def made(**values: Any) -> CaseMade:
    values.setdefault("construction_done_on", DAY - timedelta(days=30))
    values.setdefault("cleaned_on", DAY - timedelta(days=3))
    values.setdefault("test_logger", "L7")
    values.setdefault("test_from", AT - timedelta(days=2))
    values.setdefault("test_to", AT - HOUR)
    values.setdefault("test_result", "47 to 52 % RH, inside the band.")
    values.setdefault("without_lamps", True)
    values.setdefault("layout", make_layout())
    return CaseMade(**values)


def case(shop: Workshop, edition: int = 0, **values: Any) -> CaseReadiness:
    return write_case(
        **shop.by(shop.sunniva, Role.EXHIBITION_MANAGER),
        place=shop.place,
        exhibition=shop.exhibition,
        edition=edition,
        made=made(**values),
    )


def test_a_case_is_built_cleaned_and_proven_before_it_is_ready(shop: Workshop) -> None:
    row = case(shop)
    seen = facts(shop).case
    assert seen.built
    assert seen.cleaned
    assert seen.proof
    ready = say_case_ready(**shop.by(shop.sunniva, Role.EXHIBITION_MANAGER), case=row)
    assert ready.ready_by == shop.sunniva


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"construction_done_on": None, "cleaned_on": None}, "construction_done_on"),
        ({"cleaned_on": None}, "cleaned_on"),
        ({"cure_until": DAY + timedelta(days=5)}, "cure_until"),
        ({"test_to": None, "test_result": ""}, "test_result"),
        ({"test_outside": True}, "test_outside"),
        ({"without_lamps": False}, "without_lamps"),
        ({"layout": None}, "layout_file"),
        ({"buffer_kind": "silica gel"}, "buffer_conditioned_on"),
        (
            {
                "buffer_kind": "silica gel",
                "buffer_conditioned_on": DAY - timedelta(days=40),
                "buffer_renew_by": DAY - timedelta(days=1),
            },
            "buffer_conditioned_on",
        ),
        (
            {"materials_note": "Sealant", "construction_done_on": DAY - timedelta(days=10)},
            "cure_until",
        ),
    ],
)
def test_what_is_not_done_keeps_the_case_from_being_ready(
    shop: Workshop, values: dict[str, Any], field: str
) -> None:
    row = case(shop, **values)
    with pytest.raises(Refused) as refused:
        say_case_ready(**shop.by(shop.sunniva, Role.EXHIBITION_MANAGER), case=row)
    assert field in {reason.field for reason in refused.value.reasons}


def test_a_run_that_left_its_band_proves_nothing(shop: Workshop) -> None:
    case(shop, test_outside=True)
    seen = facts(shop).case
    assert (seen.proof, seen.outside) == (False, True)
    case(shop, edition=1, test_outside=False)
    assert facts(shop).case.proof


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"cleaned_on": DAY + timedelta(days=1)}, "cleaned_on"),
        ({"cleaned_on": DAY - timedelta(days=40)}, "cleaned_on"),
        ({"construction_done_on": None}, "construction_done_on"),
        ({"test_to": AT + HOUR}, "test_to"),
        ({"test_logger": ""}, "test_result"),
        ({"test_result": "", "test_outside": False}, "test_result"),
        ({"buffer_target_rh": Decimal(120)}, "buffer_target_rh"),
        ({"buffer_mass_kg": Decimal(0)}, "buffer_mass_kg"),
    ],
)
def test_a_case_that_cannot_be_so_is_refused(
    shop: Workshop, values: dict[str, Any], field: str
) -> None:
    with pytest.raises(Refused) as refused:
        case(shop, **values)
    assert field in {reason.field for reason in refused.value.reasons}
    assert not CaseReadiness.objects.exists()


def test_a_change_takes_ready_back_and_two_people_are_kept_apart(shop: Workshop) -> None:
    row = case(shop)
    say_case_ready(**shop.by(shop.sunniva, Role.EXHIBITION_MANAGER), case=row)
    assert case(shop, edition=1, lamps="Four spots.").ready_at is None
    with pytest.raises(Conflict):
        case(shop, edition=1, lamps="Five spots.")


# --- the minimal curing ----------------------------------------------------------------------


def test_what_cures_does_so_three_weeks_at_least_unless_a_data_sheet_says_less(
    shop: Workshop,
) -> None:
    built = DAY - timedelta(days=20)
    said: dict[str, Any] = {"construction_done_on": built, "materials_note": "Sealant"}
    row = case(shop, **said)
    assert facts(shop).case.cure_until == built + timedelta(days=21)
    (reason,) = case_is_proven(facts_of_one(shop.showing, AT))
    assert reason.code == "case.curing"
    early = DAY - timedelta(days=5)
    with pytest.raises(Refused, match="21 days at least") as refused:
        case(shop, edition=row.edition, cure_until=early, **said)
    assert [one.field for one in refused.value.reasons] == ["cure_because"]
    case(shop, edition=row.edition, cure_until=early, cure_because="Data sheet: 10 days", **said)
    assert not list(case_is_proven(facts_of_one(shop.showing, AT)))


@pytest.mark.parametrize(
    ("state", "least"),
    [
        (CaseState(built_on=date(2026, 2, 2), materials="Paint", cure_until=date(2026, 2, 22)), 23),
        (CaseState(built_on=date(2026, 2, 2), materials="Paint", cure_until=date(2026, 2, 23)), 0),
        (CaseState(built_on=date(2026, 2, 2), cure_until=date(2026, 2, 3)), 0),
        (CaseState(materials="Paint", cure_until=date(2026, 2, 3)), 0),
    ],
)
def test_too_short_a_cure_is_told_by_its_first_day_that_would_do(
    state: CaseState, least: int
) -> None:
    assert cures_too_short(state) == (date(2026, 2, least) if least else None)


def test_every_line_of_a_case_has_its_day_or_what_is_left() -> None:
    today = date(2026, 3, 2)
    lines = case_lines(CaseState(), today)
    assert [line.label for line in lines] == [
        "Building finished", "Cured", "Cleaned", "Buffer", "Lamps", "Climate proof run", "Layout",
    ]  # fmt: skip
    assert [line.label for line in lines if not line.is_open] == ["Cured", "Buffer"]
    whole = CaseState(
        built_on=date(2026, 1, 5),
        built_by="Workshop",
        cleaned_on=date(2026, 2, 20),
        materials="Sealant",
        buffer="silica gel",
        conditioned_on=date(2026, 2, 10),
        renew_by=today,
        run_ended_at=AT,
        run_ended_on=date(2026, 2, 27),
        run_result=BAND,
        lamps=2,
        lamps_changed_on=date(2026, 2, 21),
        layout="Layout of N3",
    )
    assert [(line.mark, line.text) for line in case_lines(whole, today)] == [
        ("done", "Mon 5 Jan 2026, Workshop"),
        ("done", "since Mon 26 Jan 2026, 21 days after building"),
        ("done", "Fri 20 Feb 2026"),
        ("done", "silica gel, conditioned Tue 10 Feb 2026, to be renewed by Mon 2 Mar 2026"),
        ("done", "2 on record, as they are since Sat 21 Feb 2026"),
        ("done", f"ended Fri 27 Feb 2026: {BAND}"),
        ("done", "Layout of N3"),
    ]
    late = case_lines(replace(whole, renew_by=date(2026, 3, 1)), today)
    assert [line.label for line in late if line.is_open] == ["Buffer"]


def test_a_buffer_past_its_day_keeps_the_object_out(shop: Workshop) -> None:
    case(
        shop,
        buffer_kind="silica gel",
        buffer_conditioned_on=DAY - timedelta(days=40),
        buffer_renew_by=DAY - timedelta(days=1),
    )
    (reason,) = case_is_proven(facts_of_one(shop.showing, AT))
    assert reason.code == "case.proof"
    assert "to be renewed by" in reason.text
