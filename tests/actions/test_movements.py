"""Movements: planned, authorised, released and received by two ends, confirmed by scan or slip."""

import re
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from django.db.models import QuerySet

from lifecycle.actions.movements import (
    Scanned,
    authorise_movement,
    cancel_movement,
    confirm_arrival,
    hand_over,
    plan_movement,
    receive,
)
from lifecycle.actions.movements.planning import Carried
from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.process.stages import Role, Stage
from lifecycle.process.words import PlaceKind
from lifecycle.queries.signed_text.registry import signatures_of
from lifecycle.records.models import Movement, MovementLine, MuseumObject, Person, RemovalCard
from lifecycle.records.models.movements import ArrivalProof, StateOnArrival
from tests.builders.core import kept_by, make_object, make_person, make_place
from tests.builders.display import (
    Crew,
    carry,
    hand,
    make_case,
    make_crew,
    on_display,
    plan_way,
    reason_word,
)

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 3, 5, 9, 0, tzinfo=UTC)


def plan(crew: Crew, *things: MuseumObject, **values: Any) -> Movement:
    said: dict[str, Any] = {
        "by": crew.registrar,
        "role": Role.REGISTRAR,
        "at": NOW,
        "from_place": things[0].current_location if things else make_place(),
        "to_place": make_place(kind=PlaceKind.BENCH),
        "reason": reason_word("examine"),
        "carried": [Carried(museum_object=thing) for thing in things],
    }
    return plan_movement(**(said | values))


def codes(refused: pytest.ExceptionInfo[Refused]) -> set[str]:
    return {r.code for r in refused.value.reasons}


def authorised(crew: Crew, row: Movement) -> Movement:
    return authorise_movement(by=crew.registrar, role=Role.REGISTRAR, at=NOW, movement=row)


def released(crew: Crew, row: Movement, **values: Any) -> Movement:
    person: Person = values.pop("person", crew.conservator)
    role: Role = values.pop("role", Role.CONSERVATOR)
    said: dict[str, Any] = {"left_at": NOW, "at": NOW}
    return hand_over(by=person, role=role, movement=row, hand=hand(person, role), **(said | values))


def received(crew: Crew, row: Movement, **values: Any) -> Movement:
    person: Person = values.pop("person", crew.registrar)
    role: Role = values.pop("role", Role.REGISTRAR)
    said: dict[str, Any] = {"arrived_at": NOW, "at": NOW, "state": StateOnArrival.SAME}
    return receive(by=person, role=role, movement=row, hand=hand(person, role), **(said | values))


def test_both_ends_sign_and_only_then_the_object_is_there() -> None:
    crew, thing = make_crew(), make_object()
    row = authorised(crew, plan(crew, thing))
    released(crew, row)
    thing.refresh_from_db()
    assert thing.current_location == row.from_place
    received(crew, row)
    thing.refresh_from_db()
    assert thing.current_location == row.to_place
    ends = [(one.person, one.capacity) for one in signatures_of(row)]
    assert ends == [(crew.conservator, "sent_by"), (crew.registrar, "received_by")]


def test_nothing_is_released_without_authority() -> None:
    crew, thing = make_crew(), make_object()
    row = plan(crew, thing)
    with pytest.raises(Refused) as refused:
        released(crew, row)
    assert codes(refused) == {"movement.authority"}


def test_authority_is_the_registrar_s_and_given_once() -> None:
    crew, thing = make_crew(), make_object()
    row = plan(crew, thing)
    for role in (Role.CONSERVATOR, Role.CURATOR, Role.TECHNICIAN):
        with pytest.raises(NotAllowed):
            authorise_movement(by=make_person(role), role=role, at=NOW, movement=row)
    authorised(crew, row)
    with pytest.raises(Refused, match="authorised already"):
        authorised(crew, row)


def test_the_one_who_handed_over_does_not_receive() -> None:
    crew, thing = make_crew(), make_object()
    row = authorised(crew, plan(crew, thing))
    released(crew, row)
    with pytest.raises(Refused) as refused:
        received(crew, row, person=crew.conservator, role=Role.CONSERVATOR)
    assert codes(refused) == {"movement.same_hand"}


PLANS: list[tuple[str, dict[str, Any], str]] = [
    ("nothing carried", {"carried": []}, "movement.objects"),
    ("from elsewhere", {"from_place": "elsewhere"}, "movement.elsewhere"),
    ("nowhere", {"to_place": "same"}, "movement.nowhere"),
    ("to a closed place", {"to_place": "closed"}, "movement.closed"),
]


@pytest.mark.parametrize(("name", "gap", "code"), PLANS, ids=[row[0] for row in PLANS])
def test_each_impossible_plan_is_refused(name: str, gap: dict[str, Any], code: str) -> None:
    crew, thing = make_crew(), make_object()
    places = {
        "elsewhere": make_place(),
        "same": thing.current_location,
        "closed": make_place(kind=PlaceKind.BENCH, closed_on=NOW.date()),
    }
    said = {key: places[value] if isinstance(value, str) else value for key, value in gap.items()}
    with pytest.raises(Refused) as refused:
        plan(crew, thing, **said)
    assert code in codes(refused)
    assert not Movement.objects.exists()


def test_an_object_is_on_one_way_at_a_time_and_named_once() -> None:
    crew, thing = make_crew(), make_object()
    with pytest.raises(Refused) as refused:
        plan(crew, thing, thing)
    assert codes(refused) == {"movement.twice"}
    plan(crew, thing)
    with pytest.raises(Refused) as refused:
        plan(crew, thing)
    assert codes(refused) == {"movement.under_way"}


def test_what_is_on_display_is_not_carried_off() -> None:
    crew = make_crew()
    _, positions = make_case("N1", 1)
    showing = on_display(crew, positions[0], NOW)
    row = authorised(crew, plan_way(crew, [showing], make_place(kind=PlaceKind.BENCH), NOW))
    with pytest.raises(Refused) as refused:
        released(crew, row)
    assert codes(refused) == {"movement.on_display"}
    assert showing.stage == Stage.ON_DISPLAY


@pytest.mark.parametrize(
    ("left_at", "code"),
    [
        (NOW - timedelta(minutes=1), "movement.time"),
        (NOW + timedelta(minutes=1), "movement.future"),
    ],
)
def test_it_leaves_after_it_was_authorised_and_not_in_the_future(
    left_at: datetime, code: str
) -> None:
    crew, thing = make_crew(), make_object()
    row = authorised(crew, plan(crew, thing))
    with pytest.raises(Refused) as refused:
        released(crew, row, left_at=left_at)
    assert code in codes(refused)


def test_who_hands_over_in_the_minute_of_the_authority_is_not_early() -> None:
    """A form gives whole minutes; the authority is written to the second."""
    crew, thing = make_crew(), make_object()
    row = plan(crew, thing)
    half_past = NOW + timedelta(seconds=35)
    authorise_movement(by=crew.registrar, role=Role.REGISTRAR, at=half_past, movement=row)
    assert released(crew, row, at=half_past, left_at=NOW).left_at == NOW


@pytest.mark.parametrize(
    ("gap", "code"),
    [
        ({"arrived_at": NOW - timedelta(minutes=1)}, "movement.time"),
        ({"arrived_at": NOW + timedelta(minutes=1)}, "movement.future"),
        ({"state": StateOnArrival.CHANGED}, "movement.note"),
        ({"state": StateOnArrival.CANNOT_TELL}, "movement.note"),
    ],
)
def test_each_impossible_receipt_is_refused(gap: dict[str, Any], code: str) -> None:
    crew, thing = make_crew(), make_object()
    row = authorised(crew, plan(crew, thing))
    released(crew, row)
    with pytest.raises(Refused) as refused:
        received(crew, row, **gap)
    assert code in codes(refused)
    assert MuseumObject.objects.get(pk=thing.pk).current_location == row.from_place


def test_two_people_receive_at_once_and_one_is_told() -> None:
    crew, thing = make_crew(), make_object()
    row = authorised(crew, plan(crew, thing))
    released(crew, row)
    received(crew, row)
    second = make_person(Role.REGISTRAR)
    with pytest.raises(Refused, match="was received already"):
        received(crew, row, person=second)
    with pytest.raises(Refused, match="has left already"):
        released(crew, row)


def test_it_is_not_received_before_it_was_handed_over() -> None:
    crew, thing = make_crew(), make_object()
    with pytest.raises(Refused, match="not been handed over"):
        received(crew, authorised(crew, plan(crew, thing)))


def test_a_technician_signs_for_an_own_job_and_no_other() -> None:
    crew, thing = make_crew(), make_object()
    row = authorised(crew, plan(crew, thing))
    released(crew, row)
    with pytest.raises(NotAllowed):
        received(crew, row, person=crew.technician, role=Role.TECHNICIAN)


def test_a_card_is_left_in_the_shelf_and_none_on_the_bench() -> None:
    crew = make_crew()
    shelved = make_object()
    carry(crew, plan(crew, shelved), NOW)
    card = RemovalCard.objects.get()
    assert (card.museum_object, card.place) == (shelved, shelved.normal_location)
    assert card.card_no == f"{Movement.objects.get().movement_no}-1"
    shelved.refresh_from_db()
    carry(crew, plan(crew, shelved), NOW)
    assert RemovalCard.objects.count() == 1


def test_an_arrival_is_confirmed_from_the_slip_that_came_back() -> None:
    crew, thing = make_crew(), make_object()
    row = authorised(crew, plan(crew, thing))
    released(crew, row)
    with pytest.raises(Refused, match="not been received"):
        _confirm(crew, row, ArrivalProof.PAPER_READ_BACK)
    received(crew, row)
    done = _confirm(crew, row, ArrivalProof.PAPER_READ_BACK)
    assert (done.arrival_confirmed_how, done.arrival_confirmed_by) == (
        "paper_read_back",
        crew.registrar,
    )
    with pytest.raises(Refused, match="confirmed already"):
        _confirm(crew, row, ArrivalProof.SIGNATURE)


def _confirm(crew: Crew, row: Movement, how: ArrivalProof, **codes: Any) -> Movement:
    return confirm_arrival(
        by=crew.registrar,
        role=Role.REGISTRAR,
        at=NOW,
        movement=row,
        how=how,
        scanned=Scanned(**codes),
    )


def test_a_scan_has_to_agree_with_place_and_object() -> None:
    crew, thing = make_crew(), make_object()
    row = authorised(crew, plan(crew, thing))
    released(crew, row)
    received(crew, row)
    with pytest.raises(Refused, match="The place you scanned is not"):
        _confirm(crew, row, ArrivalProof.SCAN, place="AAAAAAA", objects=[thing.code])
    assert _confirm(
        crew, row, ArrivalProof.SCAN, place=row.to_place.code, objects=[thing.code]
    ).arrival_confirmed_at


def test_a_movement_is_called_off_before_it_leaves_and_frees_its_objects() -> None:
    crew, thing = make_crew(), make_object()
    row = plan(crew, thing)
    said: dict[str, Any] = {
        "by": crew.registrar,
        "role": Role.REGISTRAR,
        "at": NOW,
        "movement": row,
    }
    with pytest.raises(Refused, match="Say why"):
        cancel_movement(**said, reason=" ")
    cancel_movement(**said, reason="The bench is taken.")
    assert not MovementLine.objects.filter(open=True).exists()
    with pytest.raises(Refused, match="called off already"):
        cancel_movement(**said, reason="Again.")
    with pytest.raises(Refused, match="was called off"):
        authorised(crew, row)
    second = authorised(crew, plan(crew, thing))
    released(crew, second)
    with pytest.raises(Refused, match="has left already"):
        cancel_movement(**(said | {"movement": second}), reason="Too late.")


def test_an_object_that_went_elsewhere_meanwhile_is_not_released() -> None:
    crew, thing = make_crew(), make_object()
    row = authorised(crew, plan(crew, thing))
    thing.current_location = make_place()
    thing.keep(**kept_by(), fields=["current_location"])
    with pytest.raises(Refused) as refused:
        released(crew, row)
    assert codes(refused) == {"movement.elsewhere"}


def test_only_one_place_in_the_house_writes_where_an_object_is() -> None:
    house = Path(__file__).parents[2] / "lifecycle"
    writers = {
        path.relative_to(house).as_posix()
        for path in house.rglob("*.py")
        if re.search(r"\.current_location = ", path.read_text())
    }
    # A card that is put on record begins in its normal location; from then on movements tell.
    assert writers == {"actions/movements/locating.py", "actions/objects/cards.py"}


def test_objects_are_held_while_their_way_is_planned_begun_and_ended(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Two plans for one object, or a plan and a release, at one moment: the second waits."""
    crew, thing = make_crew(), make_object()
    held: list[Any] = []
    real = QuerySet.select_for_update

    def locking(rows: Any, *args: Any, **more: Any) -> Any:
        held.append(rows.model)
        return real(rows, *args, **more)

    monkeypatch.setattr(QuerySet, "select_for_update", locking)
    row = plan(crew, thing)
    assert MuseumObject in held
    authorised(crew, row)
    for deed in (released, received):
        held.clear()
        deed(crew, row)
        assert {Movement, MuseumObject} <= set(held)
