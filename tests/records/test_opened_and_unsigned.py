"""The database refuses by itself what openings, missing signatures and taken sections can't be."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import IntegrityError, transaction

from lifecycle.process.stages import Role
from lifecycle.process.words import PlaceKind
from lifecycle.records.models import CaseOpening
from lifecycle.records.models.condition import LeftUnsigned, ReportSection
from tests.builders.condition import start_draft
from tests.builders.core import AT, kept_by, make_person, make_place

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("values", "constraint"),
    [
        ({"why": "breath of air"}, "case_opening_why_known"),
        ({"why": "other"}, "case_opening_other_says_what"),
        ({"opened_at": AT + timedelta(hours=1)}, "case_opening_before_entered"),
        ({"rh_before": Decimal("100.1")}, "case_opening_rh_before"),
        ({"rh_after": Decimal(-1)}, "case_opening_rh_after"),
    ],
)
def test_an_opening_that_can_t_be(values: dict[str, Any], constraint: str) -> None:
    marit = make_person(Role.CONSERVATOR)
    said: dict[str, Any] = {
        "place": make_place(kind=PlaceKind.CASE),
        "why": "cleaned",
        "opened_at": AT,
        "opened_by": marit,
        "entered_at": AT,
        "entered_by": marit,
    }
    with pytest.raises(IntegrityError, match=constraint):
        CaseOpening(**(said | values)).append()


@pytest.mark.parametrize(
    ("values", "constraint"),
    [
        ({"capacity": "passer-by"}, "left_unsigned_capacity_known"),
        ({"role": "passer-by"}, "left_unsigned_role_known"),
        ({"because": ""}, "left_unsigned_because"),
        ({"left_at": AT + timedelta(hours=1)}, "left_unsigned_not_to_come"),
        ({}, "left_unsigned|UNIQUE"),
    ],
)
def test_a_missing_signature_that_can_t_be(values: dict[str, Any], constraint: str) -> None:
    marit = make_person(Role.CONSERVATOR)
    said: dict[str, Any] = {
        "report": start_draft(by=marit),
        "person": marit,
        "capacity": "courier",
        "left_at": AT,
        "because": "train",
        "entered_by": marit,
        "role": Role.REGISTRAR,
        "entered_at": AT,
    }
    if not values:
        LeftUnsigned(**said).append()
    with pytest.raises(IntegrityError, match=constraint), transaction.atomic():
        LeftUnsigned(**(said | values)).append()


def test_a_section_is_taken_by_somebody_at_some_time() -> None:
    marit = make_person(Role.CONSERVATOR)
    section = ReportSection(
        report=start_draft(by=marit),
        name="support",
        written_by=marit,
        written_at=AT,
        taken_by=marit,
    )
    with pytest.raises(IntegrityError, match="reportsection_taken_by_someone"):
        section.keep(**kept_by())
