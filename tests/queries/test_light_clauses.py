"""What was asked for in writing lowers the ceiling, alike wherever the ceiling is asked."""

from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from lifecycle.queries.light.case_conditions import case_conditions
from lifecycle.queries.light.ceilings import case_with
from lifecycle.queries.light.gathering import Gathered
from lifecycle.queries.preparation.ceilings import ceiling_of
from lifecycle.records.models import Loan, Organisation, Place, Requirement, Showing
from tests.builders.core import (
    AT,
    kept_by,
    make_class,
    make_exhibition,
    make_face,
    make_museum,
    make_object,
    make_place,
    make_showing,
)
from tests.builders.light import make_case, want

pytestmark = pytest.mark.django_db


def ask(high: int, parameter: str = "lux", **values: Any) -> Requirement:
    return Requirement(
        source="lender_clause",
        text=f"At most {high}.",
        parameter=parameter,
        operator="at_most",
        high=Decimal(high),
        evidence="readings",
        **values,
    ).keep(**kept_by())


def planned(case: Place, **values: Any) -> Showing:
    thing = make_object(sensitivity_class=make_class(max_lux=50, max_uv=75))
    place = make_place(parent=case)
    showing = make_showing(museum_object=thing, place=place, **values)
    want(showing, make_face(thing))
    return showing


def everywhere(showing: Showing, case: Place) -> list[int | None]:
    """The lux ceiling as the account, the move into a case, the sheet and the proof say it."""
    face = showing.faces_wanted.get().face
    sheet = case_conditions(case, AT).lux
    return [
        Gathered([face], AT).ceilings(showing.pk, face)[0],
        case_with(showing, case, AT).own,
        None if sheet is None else int(sheet.value),
        ceiling_of(showing.exhibition, case, AT).lux,
    ]


def test_the_lowest_written_limit_that_still_binds_is_the_ceiling() -> None:
    make_museum()
    case, exhibition = make_case(), make_exhibition()
    lender = Organisation(name="Trust", kind="lender").keep(**kept_by())
    loan = Loan(
        agreement_no="L1", lender=lender, direction="in", starts_on=date(2026, 1, 1),
        ends_on=date(2026, 12, 1),
    ).keep(**kept_by())  # fmt: skip
    showing = planned(case, exhibition=exhibition, loan=loan)
    planned(make_case(), exhibition=exhibition)
    assert everywhere(showing, case) == [50, 50, 50, 50]

    ask(45, loan=loan)
    ask(60, showing=showing)
    ask(20, "uv", showing=showing)
    assert everywhere(showing, case) == [45, 45, 45, 45]
    assert ceiling_of(exhibition, case, AT).uv == 20
    assert "asked in writing" in ceiling_of(exhibition, case, AT).because

    ask(40, case=case)
    assert everywhere(showing, case) == [40, 40, 40, 40]
    ask(30, showing=showing, state="ended")
    assert everywhere(showing, case) == [40, 40, 40, 40]


def test_a_clause_binds_nothing_that_it_is_not_about() -> None:
    make_museum()
    case, exhibition = make_case(), make_exhibition()
    showing = planned(case, exhibition=exhibition)
    ask(10, showing=planned(make_case(), exhibition=exhibition))
    ask(10, case=make_case())
    ask(10, "uv", showing=showing)
    assert everywhere(showing, case) == [50, 50, 50, 50]
