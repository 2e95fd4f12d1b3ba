"""Tests of materials on record, and call-backs for everything a batch touched."""

from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest
from django.db import IntegrityError, transaction

from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.actions.treatment import (
    ResultSaid,
    call_back_all,
    end_call_back,
    record_result,
)
from lifecycle.process.material_tests import HowTested, MaterialUse, Rating
from lifecycle.process.stages import Role
from lifecycle.process.words import ReportKind
from lifecycle.queries.clock import museum_zone
from lifecycle.queries.treatment.materials import (
    batches_like,
    lapses_due,
    open_call_backs,
    recalls,
    recalls_due,
    treated_objects,
)
from lifecycle.records.models import Material, MaterialResult, MaterialTest
from tests.actions.treatment.lab import Lab
from tests.builders.core import AT, make_object, make_person
from tests.builders.treatment import HOUR, make_material, make_signed_report

pytestmark = pytest.mark.django_db
TODAY = AT.date()
ODDY = ResultSaid(
    how=HowTested.ODDY,
    rating=Rating.PERMANENT,
    tested_on=TODAY - timedelta(days=30),
    tested_by="Laboratory of the house",
    copper="as the control",
    silver="as the control",
    lead="as the control",
)
ALL = tuple(MaterialUse)


@pytest.fixture
def marit() -> Any:
    return make_person(Role.CONSERVATOR)


@pytest.fixture
def board() -> Material:
    return make_material("cotton board", test_state=MaterialTest.TO_TEST)


def record(marit: Any, board: Material, said: ResultSaid = ODDY, **values: Any) -> MaterialResult:
    values.setdefault("accepted_for", ALL)
    return record_result(
        by=marit, role=Role.CONSERVATOR, at=AT, material=board, said=said, **values
    )


def test_a_result_counts_five_years_and_accepts_the_batch(marit: Any, board: Material) -> None:
    row = record(marit, board)
    assert row.valid_until == row.tested_on.replace(year=row.tested_on.year + 5)
    kept = Material.objects.get(pk=board.pk)
    assert kept.test_state == MaterialTest.TESTED
    assert kept.accepted_for_case
    assert lapses_due(row.valid_until - timedelta(days=29)) == []
    (lapse,) = lapses_due(row.valid_until - timedelta(days=28))
    assert lapse.until == row.valid_until


def test_a_failed_test_takes_back_what_the_batch_was_accepted_for(
    marit: Any, board: Material
) -> None:
    record(marit, board)
    failed = ResultSaid(
        how=HowTested.PHOTOGRAPHIC_ACTIVITY,
        rating=Rating.FAILED,
        tested_on=TODAY,
        tested_by="Laboratory of the house",
        result="Mottled stain.",
    )
    with pytest.raises(Refused) as refused:
        record(marit, board, failed, accepted_for=(MaterialUse.CONTACT,))
    assert {reason.field for reason in refused.value.reasons} == {"accepted_for_contact"}
    assert MaterialResult.objects.count() == 1
    record(marit, board, failed, accepted_for=())
    kept = Material.objects.get(pk=board.pk)
    assert (kept.test_state, kept.accepted_for_contact) == (MaterialTest.FAILED, False)


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"rating": Rating.PASSED}, "rating"),
        ({"lead": " "}, "lead"),
        ({"tested_on": TODAY + timedelta(days=1)}, "tested_on"),
        ({"valid_until": TODAY - timedelta(days=400)}, "valid_until"),
        ({"tested_by": ""}, "tested_by"),
        ({"rating": Rating.UNSUITABLE}, "result"),
    ],
)
def test_what_cannot_be_true_of_a_test_is_refused_beside_its_field(
    marit: Any, board: Material, changed: dict[str, Any], field: str
) -> None:
    with pytest.raises(Refused) as refused:
        record(marit, board, replace(ODDY, **changed), accepted_for=())
    assert [reason.field for reason in refused.value.reasons] == [field]


def test_the_table_itself_keeps_ratings_to_their_test_and_coupons_told(
    marit: Any, board: Material
) -> None:
    row = record(marit, board)
    for name, value in (("rating", "passed"), ("copper", ""), ("valid_until", AT.date().min)):
        copy = MaterialResult.objects.get(pk=row.pk)
        copy.pk, copy.uid = None, make_object().uid
        setattr(copy, name, value)
        with pytest.raises(IntegrityError), transaction.atomic():
            copy.save(force_insert=True)


def test_only_who_treats_puts_a_test_on_record(board: Material) -> None:
    with pytest.raises(NotAllowed):
        record_result(
            by=make_person(Role.CURATOR), role=Role.CURATOR, at=AT, material=board, said=ODDY
        )


def call(lab: Lab, **values: Any) -> list[Any]:
    values.setdefault("materials", [lab.glue])
    values.setdefault("objects", [lab.thing])
    values.setdefault("due_on", TODAY + timedelta(days=30))
    values.setdefault("reason", "The paste of this batch turns yellow: look at the mends.")
    return call_back_all(by=lab.marit, role=Role.CONSERVATOR, at=AT + 2 * HOUR, **values)


def test_everything_a_batch_touched_is_found_with_its_place_and_called_back_at_once(
    lab: Lab, django_assert_num_queries: Any
) -> None:
    lab.log("mend", material=lab.glue)
    lab.log("wash", material=lab.paste)
    with django_assert_num_queries(3):
        (line,) = treated_objects([lab.glue], with_bay=True)
    assert (line.museum_object, line.steps, line.call_backs) == (lab.thing, 1, ())
    (made,) = call(lab)
    assert made.material == lab.glue
    assert [row.due_on for row in recalls(museum_zone(), with_bay=False)] == [made.due_on]
    assert call(lab) == []  # not asked for twice
    (line,) = treated_objects([lab.glue], with_bay=True)
    assert line.call_backs == (made,)
    assert recalls_due(made.due_on - timedelta(days=29), museum_zone()) == []
    (facts,) = recalls_due(made.due_on - timedelta(days=28), museum_zone())
    assert facts.object_number == lab.thing.object_number


def test_a_call_back_is_settled_by_its_report_or_ended_with_a_reason(lab: Lab) -> None:
    lab.log("mend", material=lab.glue)
    (made,) = call(lab)
    make_signed_report(lab.thing, ReportKind.CALL_BACK, examined_at=AT, by=lab.marit)
    assert list(open_call_backs()) == [made]  # looked at before it was asked for
    end = {"by": lab.marit, "role": Role.CONSERVATOR, "at": AT + 24 * HOUR, "call_back": made}
    with pytest.raises(Refused, match="why nobody has to look"):
        end_call_back(why=" ", **end)
    end_call_back(why="The maker says it was the other batch.", **end)
    with pytest.raises(Refused, match="ended already"):
        end_call_back(why="Twice.", **end)
    assert not open_call_backs().exists()
    (again,) = call(lab)
    make_signed_report(lab.thing, ReportKind.CALL_BACK, examined_at=AT + 24 * HOUR, by=lab.marit)
    assert again not in open_call_backs()


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"objects": []}, "objects"),
        ({"reason": " "}, "reason"),
        ({"due_on": TODAY - timedelta(days=1)}, "due_on"),
    ],
)
def test_a_call_back_needs_objects_reason_and_a_day_to_come(
    lab: Lab, values: dict[str, Any], field: str
) -> None:
    lab.log("mend", material=lab.glue)
    with pytest.raises(Refused) as refused:
        call(lab, **values)
    assert field in {reason.field for reason in refused.value.reasons}


def test_an_object_that_the_batch_never_touched_is_not_called_back(lab: Lab) -> None:
    lab.log("mend", material=lab.glue)
    other = make_object()
    with pytest.raises(Refused, match=f"{other.object_number} was not treated with it"):
        call(lab, objects=[lab.thing, other])
    assert not open_call_backs().exists()


def test_batches_are_found_by_name_and_number_and_none_stands_for_another(lab: Lab) -> None:
    assert batches_like("STARCH", "") == [lab.glue]
    assert batches_like("starch", "1") == [lab.glue]
    assert batches_like("starch", "B-99") == []
