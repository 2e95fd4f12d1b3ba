"""What carrying, lending and incidents refuse, each for one reason alone, and whom."""

from collections.abc import Callable
from datetime import date, timedelta
from decimal import Decimal
from functools import partial
from typing import Any

import pytest
from django.db import transaction

from lifecycle.actions.incidents import (
    Completion,
    add_statement,
    complete_incident,
    start_incident,
    tell,
)
from lifecycle.actions.loans import (
    Clause,
    add_clause,
    ask_leave,
    authorise_exit,
    change_clause,
    change_loan,
    extend_loan,
    record_leave,
    sign_receipt,
    waive_clause,
)
from lifecycle.actions.movements import (
    Scanned,
    cancel_movement,
    confirm_arrival,
    hand_over,
    plan_movement,
)
from lifecycle.actions.movements.cards import lift_cards
from lifecycle.actions.movements.locating import lies_within
from lifecycle.actions.movements.planning import Carried
from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.process.stages import Role
from lifecycle.process.words import Orientation, PlaceKind
from lifecycle.records.models import Incident, Loan, Movement, RemovalCard
from lifecycle.records.models.incidents import ToldWhom
from lifecycle.records.models.loans import (
    ClauseEvidence,
    LoanState,
    Operator,
    Parameter,
    RequirementSource,
    RequirementState,
)
from lifecycle.records.models.movements import ArrivalProof
from tests.actions.refusing import is_shut
from tests.actions.test_incidents import FOUND, happening, started
from tests.actions.test_incidents import NOW as INCIDENT_NOW
from tests.actions.test_loans import NOW as LOAN_NOW
from tests.actions.test_loans import acting, clause, lent_object, lent_showing, loan, paper, terms
from tests.actions.test_movements import NOW, authorised, plan, received, released
from tests.builders.core import (
    kept_by,
    make_exhibition,
    make_object,
    make_person,
    make_place,
)
from tests.builders.display import (
    Crew,
    carry,
    hand,
    method_word,
    planned_showing,
    reason_word,
)

pytestmark = pytest.mark.django_db


def codes(attempt: Callable[[], object]) -> list[str]:
    """The codes of every reason the attempt is refused for."""
    with pytest.raises(Refused) as refused:
        attempt()
    return [reason.code or reason.field for reason in refused.value.reasons]


def shut(attempts: dict[str, Callable[[], object]]) -> None:
    """Each attempt is answered with 'not you'."""
    assert [name for name, attempt in attempts.items() if not is_shut(attempt)] == []


# --- movements -------------------------------------------------------------------------------


def test_two_carry_what_is_heavy_and_upright_is_carried_upright(crew: Crew) -> None:
    heavy = make_object(weight_g=20_000)
    assert codes(lambda: plan(crew, heavy)) == ["movement.people"]
    plan(crew, heavy, people_needed=2)
    upright = make_object(orientation_rule=Orientation.UPRIGHT_ONLY)
    flat = {"people_needed": 2, "method": method_word("trolley-flat")}
    assert codes(lambda: plan(crew, upright, **flat)) == ["movement.method"]


def test_an_object_is_carried_for_a_showing_of_its_own(crew: Crew) -> None:
    thing, other = make_object(), planned_showing(make_exhibition(), None)
    carried = [Carried(museum_object=thing, showing=other)]
    assert codes(lambda: plan(crew, thing, carried=carried)) == ["movement.showing"]


def test_nothing_goes_into_the_store_without_housing(crew: Crew) -> None:
    store = make_place(kind=PlaceKind.STORE)
    thing = make_object()
    assert codes(lambda: plan(crew, thing, to_place=store)) == ["movement.not_housed"]
    row = authorised(crew, plan(crew, thing))
    row.to_place = store  # Housed when it was planned, and put out of use since.
    row.keep(**kept_by(), fields=["to_place"])
    assert codes(lambda: released(crew, row)) == ["movement.not_housed"]


def test_what_was_called_off_is_not_handed_over(crew: Crew) -> None:
    row = authorised(crew, plan(crew, make_object()))
    cancel_movement(by=crew.registrar, role=Role.REGISTRAR, at=NOW, movement=row, reason="Rain.")
    assert codes(lambda: released(crew, row)) == ["movement.cancelled"]


def test_the_codes_read_at_the_end_are_those_of_the_movement(crew: Crew) -> None:
    thing = make_object()
    row = authorised(crew, plan(crew, thing))
    released(crew, row)
    place = row.to_place.code
    for scanned, expected in (
        (Scanned(place="AAAAAAA", objects=[thing.code]), ["movement.place_code"]),
        (Scanned(place=place), ["movement.object_code"]),
        (Scanned(place=place, objects=[thing.code, "AAAAAAA"]), ["movement.strange_code"]),
    ):
        assert codes(partial(received, crew, row, scanned=scanned)) == expected
    assert Movement.objects.get().arrived_at is None


def test_a_removal_card_is_lifted_by_its_own_number_or_said_to_be_lost(crew: Crew) -> None:
    thing = make_object()
    carry(crew, plan(crew, thing), NOW)
    thing.refresh_from_db()
    card = RemovalCard.objects.get()
    back = plan(crew, thing)
    back.to_place = card.place

    def lift(number: str) -> None:
        lift_cards(
            movement=back,
            objects=[thing],
            numbers={thing.pk: number},
            by=crew.registrar,
            role=Role.REGISTRAR,
            at=NOW,
            lifted_at=NOW,
        )

    for number in ("", "MV-0000-9", "lost:", "lost: "):
        assert codes(partial(lift, number)) == ["movement.card"]
    assert RemovalCard.objects.get().lifted_at is None
    with transaction.atomic():
        lift(card.card_no.lower())
    assert RemovalCard.objects.get().lifted_by == crew.registrar


def test_what_lies_elsewhere_is_not_in_reach() -> None:
    here, thing = make_place(), make_object()
    assert not lies_within(thing.current_location, here)
    thing.current_location = here
    assert lies_within(thing.current_location, here)


def test_each_deed_of_carrying_takes_the_right_to_handle(crew: Crew) -> None:
    thing = make_object()
    row = plan(crew, thing)
    steward = make_person(Role.STEWARD)
    said: dict[str, Any] = {"by": steward, "role": Role.STEWARD, "at": NOW}
    shut(
        {
            "plan": lambda: plan_movement(
                **said,
                from_place=row.from_place,
                to_place=row.to_place,
                reason=reason_word("examine"),
                carried=[Carried(museum_object=make_object())],
            ),
            "call off": lambda: cancel_movement(**said, movement=row, reason="No."),
            "hand over": lambda: hand_over(
                **said, movement=row, hand=hand(steward, Role.STEWARD), left_at=NOW
            ),
            "confirm": lambda: confirm_arrival(
                **said, movement=row, how=ArrivalProof.SIGNATURE, scanned=Scanned()
            ),
        }
    )


# --- loans -----------------------------------------------------------------------------------


def test_a_closed_loan_stays_as_it_is_and_a_change_says_why(crew: Crew) -> None:
    thing = lent_object()
    row = loan(crew, objects=[thing])
    said = terms(objects=[thing])
    assert codes(lambda: change_loan(**acting(crew), loan=row, terms=said, why=" ")) == ["loan.why"]
    row.state = LoanState.CLOSED.value
    row.keep(**kept_by(), fields=["state"])
    assert codes(lambda: change_loan(**acting(crew), loan=row, terms=said, why="Late.")) == [
        "loan.closed"
    ]


def test_between_takes_both_bounds(crew: Crew) -> None:
    row = loan(crew)
    for gap in ({"low": None}, {"high": None}):
        assert codes(partial(clause, crew, row, **gap)) == ["clause.bound"]


def test_each_deed_of_a_loan_takes_the_right_to_register(crew: Crew) -> None:
    thing = lent_object()
    row = loan(crew, objects=[thing])
    required = clause(crew, row)
    showing = lent_showing()
    leave = ask_leave(**acting(crew), showing=showing, asked_at=LOAN_NOW)
    said: dict[str, Any] = {"by": crew.conservator, "role": Role.CONSERVATOR, "at": LOAN_NOW}
    kept = RequirementState.KEPT
    shut(
        {
            "change": lambda: change_loan(
                **said, loan=row, terms=terms(objects=[thing]), why="So."
            ),
            "extend": lambda: extend_loan(
                **said,
                loan=row,
                new_end=date(2027, 1, 31),
                agreed_on=LOAN_NOW.date(),
                reason="Longer.",
            ),
            "clause": lambda: add_clause(**said, clause=condition(row)),
            "state": lambda: change_clause(**said, requirement=required, state=kept, why="So."),
            "waive": lambda: waive_clause(**said, requirement=required, document=paper(), note=""),
            "ask": lambda: ask_leave(**said, showing=lent_showing(), asked_at=LOAN_NOW),
            "answer": lambda: record_leave(
                **said, leave=leave, given=True, answered_at=LOAN_NOW, answered_by="Lev Ardmore"
            ),
            "exit": lambda: authorise_exit(**said, loan=row),
            "receipt": lambda: sign_receipt(
                **said, loan=row, signed_by="Lev Ardmore", signed_at=LOAN_NOW, receipt=paper()
            ),
        }
    )


def condition(row: Loan | None, **values: Any) -> Clause:
    said: dict[str, Any] = {
        "loan": row,
        "source": RequirementSource.LENDER_CLAUSE,
        "text": "At most 50 lx.",
        "parameter": Parameter.LUX,
        "operator": Operator.AT_MOST,
        "high": Decimal(50),
        "evidence": ClauseEvidence.READINGS,
    }
    return Clause(**(said | values))


def test_a_conservator_s_own_condition_is_the_conservator_s(crew: Crew) -> None:
    own = condition(None, source=RequirementSource.CONSERVATOR, showing=lent_showing())
    with pytest.raises(NotAllowed):
        add_clause(**acting(crew), clause=own)
    marit: dict[str, Any] = {"by": crew.conservator, "role": Role.CONSERVATOR, "at": LOAN_NOW}
    assert add_clause(**marit, clause=own).source == "conservator"


# --- incidents -------------------------------------------------------------------------------


def told(incident: Incident, **values: Any) -> dict[str, Any]:
    said: dict[str, Any] = {
        "incident": incident,
        "whom": ToldWhom.CURATOR,
        "name": "Wen Castellane",
        "how": "in person",
        "told_at": INCIDENT_NOW,
    }
    return said | values


def test_each_deed_of_an_incident_takes_its_right(crew: Crew) -> None:
    of_an_object, of_a_place = started(crew), started(crew, place=make_place())
    courier: dict[str, Any] = {
        "by": make_person(Role.COURIER),
        "role": Role.COURIER,
        "at": INCIDENT_NOW,
    }
    wen: dict[str, Any] = {"by": crew.curator, "role": Role.CURATOR, "at": INCIDENT_NOW}
    seen: dict[str, Any] = {"person": crew.curator, "text": "I saw it."}
    shut(
        {
            "start": lambda: start_incident(
                **courier, said=happening(objects=[make_object()], hold=False)
            ),
            "say": lambda: add_statement(**courier, incident=of_an_object, **seen),
            "say of a place": lambda: add_statement(**courier, incident=of_a_place, **seen),
            "tell": lambda: tell(**courier, **told(of_an_object)),
            "complete": lambda: complete_incident(**wen, incident=of_an_object, said=Completion()),
        }
    )


def test_a_statement_has_words_and_nobody_was_told_ahead_of_time(crew: Crew) -> None:
    row = started(crew)
    by: dict[str, Any] = {"by": crew.registrar, "role": Role.REGISTRAR, "at": INCIDENT_NOW}
    assert codes(lambda: add_statement(**by, incident=row, person=crew.registrar, text=" ")) == [
        "incident.words"
    ]
    for moment in (FOUND - timedelta(hours=1), INCIDENT_NOW + timedelta(minutes=1)):
        said = told(row, told_at=moment)
        assert codes(partial(tell, **by, **said)) == ["incident.told"]
