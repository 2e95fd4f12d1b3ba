"""Loans: agreement, extension, clauses as rows, the lender's leave, exit and receipt."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest

from lifecycle.actions.loans import (
    Clause,
    Terms,
    add_clause,
    add_loan,
    ask_leave,
    authorise_exit,
    change_clause,
    change_loan,
    extend_loan,
    record_leave,
    sign_receipt,
    waive_clause,
)
from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.process.stages import Role, Stage
from lifecycle.records.models import (
    Document,
    LenderLeave,
    Loan,
    LoanExtension,
    MuseumObject,
    Organisation,
    Requirement,
    Showing,
)
from lifecycle.records.models.loans import (
    ClauseEvidence,
    LoanDirection,
    LoanState,
    Operator,
    Parameter,
    RequirementSource,
    RequirementState,
)
from tests.builders.core import kept_by, make_exhibition, make_museum, make_object, make_person
from tests.builders.display import Crew, make_crew, planned_showing, put_at

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 1, 12, 9, 0, tzinfo=UTC)


def lender(name: str = "Saltmarsh Observatory Trust") -> Organisation:
    found = Organisation.objects.filter(name=name).first()
    return found or Organisation(name=name, kind="lender").keep(**kept_by())


def lent_object(**values: Any) -> MuseumObject:
    return make_object(owner_kind="lender", lender=lender(), **values)


def paper() -> Document:
    return Document(
        sha256="d" * 64,
        name="agreement.pdf",
        mime="application/pdf",
        size_bytes=10,
        title="Agreement",
        entered_at=NOW,
    ).keep(**kept_by())


def terms(**values: Any) -> Terms:
    said: dict[str, Any] = {
        "agreement_no": "L2026/1",
        "lender": lender(),
        "direction": LoanDirection.IN,
        "starts_on": date(2026, 2, 1),
        "ends_on": date(2026, 9, 30),
        "objects": [lent_object()],
    }
    return Terms(**(said | values))


def acting(crew: Crew) -> dict[str, Any]:
    return {"by": crew.registrar, "role": Role.REGISTRAR, "at": NOW}


def loan(crew: Crew, **values: Any) -> Loan:
    return add_loan(**acting(crew), terms=terms(**values))


def codes(refused: pytest.ExceptionInfo[Refused]) -> set[str]:
    return {r.code for r in refused.value.reasons}


def test_a_loan_is_written_down_with_its_objects() -> None:
    crew = make_crew()
    row = loan(crew, agreement=paper(), agreement_signed_on=date(2026, 1, 10))
    assert (row.agreement_no, row.state) == ("L2026/1", "asked")
    assert row.lines.count() == 1


GAPS: list[tuple[str, dict[str, Any], str]] = [
    ("no number", {"agreement_no": " "}, "loan.number"),
    ("ends before", {"ends_on": date(2026, 1, 1)}, "loan.dates"),
    ("no objects", {"objects": []}, "loan.objects"),
    ("agreed unsigned", {"state": LoanState.AGREED}, "loan.signed"),
    ("signed without paper", {"agreement_signed_on": date(2026, 1, 10)}, "loan.agreement"),
]


@pytest.mark.parametrize(("name", "gap", "code"), GAPS, ids=[row[0] for row in GAPS])
def test_each_impossible_term_is_refused(name: str, gap: dict[str, Any], code: str) -> None:
    crew = make_crew()
    with pytest.raises(Refused) as refused:
        loan(crew, **gap)
    assert code in codes(refused)
    assert not Loan.objects.exists()


def test_a_showing_asked_for_before_the_agreement_comes_under_it() -> None:
    """Not one of other days, nor one that is over, nor one under an agreement of its own."""
    crew, thing = make_crew(), lent_object()
    asked = planned_showing(make_exhibition(), None, museum_object=thing)
    over = planned_showing(make_exhibition(), None, museum_object=thing)
    put_at(over, Stage.WITHDRAWN)
    years_ahead = make_exhibition(
        install_from=date(2029, 3, 2),
        opens=date(2029, 3, 14),
        closes=date(2029, 9, 6),
        deinstall_until=date(2029, 9, 18),
    )
    other = planned_showing(years_ahead, None, museum_object=thing)
    first = loan(crew, objects=[thing])
    loan(crew, agreement_no="L2026/2", objects=[thing])
    assert Showing.objects.get(pk=asked.pk).loan == first
    assert asked.history.filter(history_change_reason="under L2026/1").count() == 1
    assert {Showing.objects.get(pk=row.pk).loan for row in (over, other)} == {None}


def test_whose_object_it_is_has_to_fit_the_direction() -> None:
    crew = make_crew()
    with pytest.raises(Refused, match="does not belong to Saltmarsh"):
        loan(crew, objects=[make_object()])
    with pytest.raises(Refused, match="is lent to us"):
        loan(crew, direction=LoanDirection.OUT)


def test_a_number_is_given_once() -> None:
    crew = make_crew()
    first = loan(crew)
    with pytest.raises(Refused, match="There is a loan L2026/1 already"):
        loan(crew)
    things = [line.museum_object for line in first.lines.all()]
    changed = change_loan(
        **acting(crew), loan=first, terms=terms(objects=things, contact="By letter."), why="Moved."
    )
    assert (changed.pk, changed.contact) == (first.pk, "By letter.")
    assert changed.lines.count() == 1


@pytest.mark.parametrize("role", [Role.CONSERVATOR, Role.CURATOR, Role.TECHNICIAN, Role.STEWARD])
def test_loans_are_the_registrar_s(role: Role) -> None:
    with pytest.raises(NotAllowed):
        add_loan(by=make_person(role), role=role, at=NOW, terms=terms())


def test_the_end_moves_by_an_extension_and_not_by_a_change() -> None:
    crew = make_crew()
    thing = lent_object()
    row = loan(crew, objects=[thing])
    with pytest.raises(Refused, match="changes by an extension"):
        change_loan(
            **acting(crew),
            loan=row,
            terms=terms(objects=[thing], ends_on=date(2026, 12, 31)),
            why="Longer.",
        )
    extend_loan(
        **acting(crew),
        loan=row,
        new_end=date(2026, 12, 31),
        agreed_on=date(2026, 1, 11),
        reason="The exhibition is extended.",
    )
    row.refresh_from_db()
    assert row.ends_on == date(2026, 12, 31)
    assert LoanExtension.objects.get().old_end == date(2026, 9, 30)


@pytest.mark.parametrize(
    "gap",
    [{"new_end": date(2026, 9, 30)}, {"agreed_on": date(2026, 1, 13)}, {"reason": " "}],
)
def test_an_extension_ends_later_is_agreed_and_says_why(gap: dict[str, Any]) -> None:
    crew = make_crew()
    row = loan(crew)
    said: dict[str, Any] = {
        "new_end": date(2026, 12, 31),
        "agreed_on": date(2026, 1, 11),
        "reason": "Longer.",
    }
    with pytest.raises(Refused):
        extend_loan(**acting(crew), loan=row, **(said | gap))
    assert not LoanExtension.objects.exists()


def test_an_extension_agreed_today_is_taken_while_it_is_still_yesterday_in_utc() -> None:
    make_museum(zone="Pacific/Auckland")
    crew = make_crew()
    past_midnight = datetime(2026, 1, 12, 11, 1, tzinfo=UTC)
    extend_loan(
        **acting(crew) | {"at": past_midnight},
        loan=loan(crew),
        new_end=date(2026, 12, 31),
        agreed_on=date(2026, 1, 13),
        reason="Longer.",
    )
    assert LoanExtension.objects.get().agreed_on == date(2026, 1, 13)


def clause(crew: Crew, row: Loan | None, **values: Any) -> Requirement:
    said: dict[str, Any] = {
        "loan": row,
        "source": RequirementSource.LENDER_CLAUSE,
        "text": "45-55 % RH for at least 95 % of readings.",
        "parameter": Parameter.HUMIDITY,
        "operator": Operator.BETWEEN,
        "low": Decimal(45),
        "high": Decimal(55),
        "evidence": ClauseEvidence.READINGS,
    }
    return add_clause(**acting(crew), clause=Clause(**(said | values)))


def test_a_clause_is_a_row_with_its_unit() -> None:
    crew = make_crew()
    row = clause(crew, loan(crew), clause_ref="7b")
    assert (row.low, row.high) == (Decimal(45), Decimal(55))
    assert (row.unit, row.state) == ("% RH", "not_started")


@pytest.mark.parametrize(
    ("gap", "code"),
    [
        ({"text": " "}, "clause.text"),
        ({"low": None}, "clause.bound"),
        ({"high": Decimal(40)}, "clause.bound"),
        ({"operator": Operator.AT_MOST, "high": None}, "clause.bound"),
        ({"operator": Operator.AT_LEAST, "low": None}, "clause.bound"),
        ({"parameter": Parameter.NO_FLASH}, "clause.operator"),
        ({"loan": None}, "clause.about"),
    ],
)
def test_each_clause_without_sense_is_refused(gap: dict[str, Any], code: str) -> None:
    crew = make_crew()
    row = loan(crew)
    with pytest.raises(Refused) as refused:
        clause(crew, gap.pop("loan", row), **gap)
    assert code in codes(refused)


def test_a_clause_is_broken_with_words_and_waived_only_in_writing() -> None:
    crew = make_crew()
    row = clause(crew, loan(crew))
    with pytest.raises(Refused, match="rests on"):
        change_clause(**acting(crew), requirement=row, state=RequirementState.BROKEN, why=" ")
    with pytest.raises(Refused, match="in writing from the lender"):
        change_clause(
            **acting(crew),
            requirement=row,
            state=RequirementState.WAIVED_IN_WRITING,
            why="They said so.",
        )
    with pytest.raises(Refused, match="Attach the lender's writing"):
        waive_clause(**acting(crew), requirement=row, document=None, note=" ")
    done = waive_clause(**acting(crew), requirement=row, document=paper(), note="")
    assert done.state == "waived_in_writing"


def lent_showing() -> Showing:
    return planned_showing(make_exhibition(), None, museum_object=lent_object())


def test_the_lender_is_asked_and_the_answer_kept() -> None:
    crew = make_crew()
    showing = lent_showing()
    asked = ask_leave(**acting(crew), showing=showing, asked_at=NOW)
    with pytest.raises(Refused, match="was asked already"):
        ask_leave(**acting(crew), showing=showing, asked_at=NOW)
    done = record_leave(
        **acting(crew),
        leave=asked,
        given=True,
        answered_at=NOW,
        answered_by="Lev Ardmore",
    )
    assert done.answer == "given"
    with pytest.raises(Refused, match="on record already"):
        record_leave(
            **acting(crew), leave=done, given=False, answered_at=NOW, answered_by="Lev Ardmore"
        )


@pytest.mark.parametrize(
    "gap",
    [
        {"answered_by": " "},
        {"answered_at": NOW - timedelta(days=1)},
        {"answered_at": NOW + timedelta(days=1)},
    ],
)
def test_an_answer_has_a_name_and_comes_after_the_question(gap: dict[str, Any]) -> None:
    crew = make_crew()
    asked = ask_leave(**acting(crew), showing=lent_showing(), asked_at=NOW)
    said: dict[str, Any] = {"given": True, "answered_at": NOW, "answered_by": "Lev Ardmore"}
    with pytest.raises(Refused):
        record_leave(**acting(crew), leave=asked, **(said | gap))
    assert LenderLeave.objects.get().answer == "waiting"


def test_nobody_is_asked_for_an_object_of_our_own() -> None:
    crew = make_crew()
    with pytest.raises(Refused, match="the museum's own"):
        ask_leave(**acting(crew), showing=planned_showing(make_exhibition(), None), asked_at=NOW)
    with pytest.raises(Refused, match="future"):
        ask_leave(**acting(crew), showing=lent_showing(), asked_at=NOW + timedelta(days=1))


def test_the_exit_is_authorised_before_the_receipt_is_signed() -> None:
    crew = make_crew()
    row = loan(crew)
    said: dict[str, Any] = {"signed_by": "Lev Ardmore", "signed_at": NOW, "receipt": paper()}
    with pytest.raises(Refused, match="is authorised first"):
        sign_receipt(**acting(crew), loan=row, **said)
    authorise_exit(**acting(crew), loan=row)
    with pytest.raises(Refused, match="authorised already"):
        authorise_exit(**acting(crew), loan=row)
    for gap in (
        {"signed_by": " "},
        {"receipt": None},
        {"signed_at": NOW + timedelta(days=1)},
        {"signed_at": NOW - timedelta(days=1)},
    ):
        with pytest.raises(Refused):
            sign_receipt(**acting(crew), loan=row, **(said | gap))
    assert sign_receipt(**acting(crew), loan=row, **said).receipt_signed_by == "Lev Ardmore"
