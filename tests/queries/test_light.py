"""From rows to accounts: the worked figures of the demo museum, and query counts at 1 and 3."""

import json
from collections.abc import Callable
from contextlib import AbstractContextManager
from datetime import UTC, date, datetime, time, timedelta
from typing import Any

import pytest

from lifecycle.actions.loans import extend_loan
from lifecycle.planning.account import account_of as reckon
from lifecycle.planning.again import Asked, next_allowed
from lifecycle.planning.keeping import from_data
from lifecycle.planning.ledger import FaceInputs
from lifecycle.process.stages import Role
from lifecycle.queries.light import (
    account_of,
    accounts_of,
    case_ceiling,
    light_check,
    light_of,
    next_allowed_for,
    resting_of,
    walk,
)
from lifecycle.queries.light.timetables import lit_since
from lifecycle.queries.rights import places_below
from lifecycle.records.models import Face, LitSpan, Showing
from tests.actions.test_loans import loan
from tests.builders.core import (
    kept_by,
    make_class,
    make_exhibition,
    make_face,
    make_museum,
    make_object,
    make_place,
    make_showing,
)
from tests.builders.display import make_crew
from tests.builders.light import hang, make_case, make_timetable, read_light, want

pytestmark = pytest.mark.django_db
Counted = Callable[[int], AbstractContextManager[Any]]

OPENED = datetime(2026, 3, 14, 0, 0, tzinfo=UTC)
CLOSED = datetime(2026, 9, 6, 23, 0, tzinfo=UTC)
AFTER = datetime(2026, 9, 20, 9, 0, tzinfo=UTC)
JUNE = datetime(2026, 6, 8, 9, 0, tzinfo=UTC)


@pytest.fixture(autouse=True)
def _museum() -> None:
    make_museum()


def shown_face(lux: str = "48", until: datetime | None = CLOSED, months: int = 7) -> Face:
    """A face shown for the whole run under a monthly reading of the same light."""
    case = make_case()
    place = make_place(parent=case)
    face = make_face()
    for month in range(3, 3 + months):
        read_light(case, lux, datetime(2026, month, 14, 0, 0, tzinfo=UTC))
    hang(face, place, opened_at=OPENED, closed_at=until)
    return face


def planned(lux_face: Face | None = None, **values: Any) -> Showing:
    case = make_case()
    face = lux_face or make_face()
    place = make_place(parent=case)
    showing = make_showing(museum_object=face.museum_object, place=place, **values)
    want(showing, face)
    return showing


def test_the_account_of_a_plate_shown_at_48_lux_has_61968_spent_and_13032_left() -> None:
    account = account_of(shown_face(), AFTER)  # worked out by hand, from rows this time
    assert (account.spent.likely, account.booked.likely) == (61_968, 0)
    assert account.left is not None
    assert account.left.likely == 13_032
    assert account.rules_version == 3
    assert account.resting_until == date(2029, 9, 7)


def test_a_face_without_a_class_names_what_is_missing_and_gives_no_figure() -> None:
    face = make_face(make_object(sensitivity_class=None))
    account = account_of(face, AFTER)
    assert account.left is None
    assert "no sensitivity class" in account.because


def test_a_place_without_a_timetable_is_named_and_no_figure_is_given() -> None:
    face, place = make_face(), make_place()
    hang(face, place, opened_at=OPENED)
    account = account_of(face, AFTER)
    assert account.left is None
    assert [row.code for row in account.missing] == ["light.timetable"]


def test_the_answer_stored_with_its_inputs_comes_out_the_same_when_rows_have_changed() -> None:
    face = shown_face()
    account = account_of(face, AFTER)
    stored = json.loads(json.dumps(account.inputs))
    face.sensitivity_class = make_class("medium", allowance_lx_h=150_000, rest_months=0)
    face.keep(**kept_by(), fields=["sensitivity_class"])
    assert account_of(face, AFTER).because != account.because
    assert reckon(from_data(FaceInputs, stored)).because == account.because


def test_a_showing_fits_when_what_it_would_charge_is_not_more_than_what_is_left() -> None:
    showing = planned()
    (line,) = light_of([showing], datetime(2026, 1, 5, 9, 0, tzinfo=UTC))[showing.pk].faces
    assert line.missing == ()
    assert line.planned == 1_291 * 50  # no assessment yet: the house rule's 50 lx
    assert line.left == 75_000
    assert line.ceiling == 50


def test_new_hours_of_a_place_do_not_rewrite_what_was_lit_before() -> None:
    face = shown_face()
    before = account_of(face, AFTER).spent.likely
    case = face.display_periods.get().place.parent
    assert case is not None
    room = case.parent
    assert room is not None
    longer = make_timetable()
    for weekday in range(7):
        LitSpan(
            timetable=longer, weekday=weekday, purpose="events", starts=time(17), ends=time(22)
        ).keep(**kept_by())
    room.timetable = longer
    changed = {**kept_by(), "at": AFTER - timedelta(days=1)}
    room.keep(**changed, fields=["timetable"])
    assert account_of(face, AFTER).spent.likely == before
    room.keep(**{**kept_by(), "at": CLOSED - timedelta(days=14)})
    later = account_of(face, AFTER)
    assert later.spent.likely == before + 14 * 5 * 48
    assert len(later.lines) == 2


def test_the_first_hours_a_place_is_given_hold_back_to_the_beginning() -> None:
    face, place = make_face(), make_place()
    hang(face, place, opened_at=OPENED, closed_at=OPENED + timedelta(days=7))
    read_light(place, "48", OPENED)
    assert account_of(face, AFTER).left is None
    place.timetable = make_timetable()
    place.keep(**{**kept_by(), "at": AFTER - timedelta(days=1)}, fields=["timetable"])
    assert account_of(face, AFTER).spent.likely == 51 * 48


def test_light_that_passes_through_charges_every_face() -> None:
    silk = make_object(light_passes_through=True)
    front, back = make_face(silk, order=1), make_face(silk, order=2)
    place = make_place(parent=make_case())
    read_light(place, "48", OPENED)
    hang(front, place, opened_at=OPENED, closed_at=OPENED + timedelta(days=7))
    accounts = accounts_of([front, back], AFTER)
    assert accounts[front.pk].spent == accounts[back.pk].spent
    assert accounts[back.pk].spent.likely == 51 * 48


def test_a_request_while_the_face_rests_is_answered_with_the_day_and_the_rule() -> None:
    face = shown_face()
    showing = planned(face, show_from=date(2027, 3, 1), show_to=date(2027, 4, 30))
    check = light_check(showing, AFTER)
    assert not check.ok
    assert check.binding_code == "allowance"
    assert check.earliest is not None
    assert check.earliest > date(2029, 9, 7)
    assert "window from" in check.because
    stored = json.loads(json.dumps(check.inputs))["faces"][0]
    again = next_allowed(from_data(FaceInputs, stored["inputs"]), from_data(Asked, stored["asked"]))
    assert again.first == check.earliest


def test_next_allowed_for_an_exhibition_takes_its_timetable() -> None:
    exhibition = make_exhibition(timetable=make_case().parent.timetable)  # type: ignore[union-attr]
    answer = next_allowed_for(
        make_face(),
        first_day=date(2027, 1, 1),
        days=84,
        place=None,
        lux=None,
        at=AFTER,
        exhibition=exhibition,
    )
    assert answer.as_asked
    nowhere = next_allowed_for(
        make_face(), first_day=date(2027, 1, 1), days=84, place=None, lux=None, at=AFTER
    )
    assert nowhere.first is None
    assert "no lit timetable" in nowhere.because


def test_resting_is_stored_with_its_inputs() -> None:
    face = shown_face()
    stored = json.loads(json.dumps(resting_of([face], AFTER)[face.pk].as_json()))
    assert stored["resting_until"] == "2029-09-07"
    assert from_data(FaceInputs, stored["inputs"]).limits is not None


def test_on_display_the_last_day_and_the_days_in_hand_are_known() -> None:
    face = shown_face(until=None, months=3)
    showing = Showing.objects.get(museum_object=face.museum_object)
    want(showing, face)
    found = light_of([showing], JUNE)[showing.pk]
    (line,) = found.faces
    assert line.last_day == date(2026, 10, 13)
    assert line.days_in_hand == 37
    assert found.watch.reading_due == date(2026, 5, 14) + timedelta(days=28)
    assert found.watch.place.startswith("case")


def test_the_loan_s_end_binds_the_last_day_and_an_extension_puts_it_off() -> None:
    """Common practice: the loan's end is one of the limits."""
    crew = make_crew()
    face = shown_face(until=None, months=3)
    showing = Showing.objects.get(museum_object=face.museum_object)
    want(showing, face)
    lent = loan(crew, ends_on=date(2026, 8, 31))
    showing.loan = lent
    showing.keep(**kept_by(), fields=["loan"])

    def line() -> tuple[date | None, int | None]:
        (found,) = light_of([showing], JUNE)[showing.pk].faces
        return found.last_day, found.days_in_hand

    def extend(until: date) -> None:
        extend_loan(
            by=crew.registrar,
            role=Role.REGISTRAR,
            at=JUNE,
            loan=lent,
            new_end=until,
            agreed_on=JUNE.date(),
            reason="The lender agreed.",
        )

    assert line() == (date(2026, 8, 31), -6)
    extend(date(2026, 9, 30))
    assert line() == (date(2026, 9, 30), 24)
    (check,) = light_check(showing, JUNE).faces
    assert check.last is not None
    assert check.last.binding is not None
    assert (check.last.binding.code, check.last.caps.loan_ends) == ("loan", date(2026, 9, 30))
    extend(date(2027, 3, 31))
    assert line() == (date(2026, 10, 13), 37)  # the account binds again


def test_the_walk_lists_a_case_once_with_its_objects_and_the_ceiling_names_who_sets_it() -> None:
    case = make_case()
    fragile = make_object(sensitivity_class=make_class("higher", max_lux=30))
    for thing in (make_object(), fragile):
        hang(make_face(thing), make_place(parent=case), opened_at=OPENED)
    (due,) = walk(JUNE)
    assert due.place == case
    assert len(due.objects) == 2
    ceiling = case_ceiling(case, JUNE)
    assert (ceiling.lux, ceiling.set_by) == (30, (fragile.object_number,))
    assert len(ceiling.others) == 1


def test_one_position_is_read_when_the_whole_case_is_and_shows_its_own_object_alone() -> None:
    case = make_case()
    read_light(case, "40", JUNE - timedelta(days=6))
    often = make_class("higher", reading_every_days=7)
    positions = [make_place(parent=case), make_place(parent=case)]
    things = [make_object(), make_object(sensitivity_class=often)]
    for thing, position in zip(things, positions, strict=True):
        hang(make_face(thing), position, opened_at=OPENED)
    hang(make_face(), make_place(parent=make_case()), opened_at=OPENED)
    (due,) = walk(JUNE, inside=places_below([positions[0].pk]))
    assert [one.showing.museum_object for one in due.objects] == things[:1]
    assert (due.place, due.reading_due) == (case, (JUNE + timedelta(days=1)).date())


@pytest.mark.parametrize("number", [1, 3])
def test_accounts_ask_the_same_queries_for_one_face_and_for_three(
    number: int, django_assert_num_queries: Counted
) -> None:
    faces = [shown_face(months=1) for _ in range(number)]
    with django_assert_num_queries(21):
        accounts_of(faces, AFTER)


@pytest.mark.parametrize("number", [1, 3])
def test_showings_ask_the_same_queries_for_one_and_for_three(
    number: int, django_assert_num_queries: Counted
) -> None:
    showings = [planned() for _ in range(number)]
    with django_assert_num_queries(22):
        light_of(showings, AFTER)


def test_hours_lit_since_an_exhibition_began_are_those_of_its_places() -> None:
    case = make_case(make_timetable("Gallery lamps"))
    run = make_exhibition(install_from=date(2026, 6, 1), opens=date(2026, 6, 5))
    run.places.add(make_place(parent=case))
    assert [(one.name, one.hours) for one in lit_since(run, JUNE)] == [("Gallery lamps", 51)]
    assert lit_since(run, JUNE - timedelta(days=7)) == []
