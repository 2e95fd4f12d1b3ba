"""What is refused in the gallery, each for one reason alone: installs, turns, ends."""

from datetime import date, datetime, timedelta
from typing import Any

import pytest

from lifecycle.actions.display.going_home import pass_on, send_home
from lifecycle.actions.display.installing_case import install_case
from lifecycle.actions.display.rotating import show_again
from lifecycle.actions.display.swapping import ComingIn, swap
from lifecycle.actions.display.taking_down import take_down
from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.process.stages import Role, Stage
from lifecycle.process.words import PlaceKind
from lifecycle.records.models import (
    DisplayPeriod,
    InstallCheck,
    Showing,
)
from tests.actions.refusing import codes
from tests.actions.test_display_requests import (
    IN_TIME,
)
from tests.actions.test_display_take_down import found
from tests.actions.test_display_turns import TURN, hands, hung, shown_again, taken_out, turned_out
from tests.builders.core import (
    kept_by,
    make_exhibition,
    make_face,
    make_person,
    make_place,
)
from tests.builders.display import (
    Crew,
    all_seen,
    face_of,
    hand,
    install_it,
    make_case,
    planned_showing,
    put_at,
    ready_showing,
)

pytestmark = pytest.mark.django_db
A_DAY = timedelta(days=1)


# --- in the gallery --------------------------------------------------------------------------

NOON = datetime.combine(date(2026, 3, 11), datetime.min.time(), tzinfo=IN_TIME.tzinfo)


def test_an_install_lies_behind_shows_a_face_of_its_own_and_names_who_accepts(crew: Crew) -> None:
    _, (place,) = make_case("N7", 1)
    showing = ready_showing(crew, place, NOON)
    with pytest.raises(Refused) as refused:
        install_it(crew, showing, NOON, face=make_face())
    assert codes(refused) == ["install.face"]
    with pytest.raises(Refused) as refused:
        install_it(crew, showing, NOON, seen=all_seen(deviation="On the left."))
    assert codes(refused) == ["install.deviation"]
    with pytest.raises(Refused, match="Nothing is planned for this case"):
        install_case(
            one=hand(crew.technician, Role.TECHNICIAN),
            other=hand(crew.conservator, Role.CONSERVATOR),
            at=NOON,
            lines=[],
            observed_at=NOON,
        )
    assert not InstallCheck.objects.exists()


def test_an_object_is_shown_in_a_position_not_in_a_room(crew: Crew) -> None:
    room = make_place("South Gallery", PlaceKind.ROOM, public=True)
    showing = ready_showing(crew, room, NOON)
    with pytest.raises(Refused) as refused:
        install_it(crew, showing, NOON)
    assert codes(refused) == ["place.kind"]


def test_a_turn_begins_behind_now_and_shows_a_face_of_the_object(crew: Crew) -> None:
    showing = turned_out(crew)
    with pytest.raises(Refused) as refused:
        shown_again(crew, showing, to_face=make_face())
    assert codes(refused) == ["turn.face"]
    with pytest.raises(Refused, match="there is nothing to turn"):
        taken_out(crew, showing)
    ready = hung(crew, name="N6")
    with pytest.raises(Refused) as refused:
        taken_out(crew, ready, started_at=TURN + A_DAY)
    assert codes(refused) == ["turn.future"]
    with pytest.raises(Refused, match="is not in rotation"):
        shown_again(crew, ready)


def test_a_face_does_not_come_back_into_a_place_that_was_taken_meanwhile(crew: Crew) -> None:
    showing = turned_out(crew)
    place = showing.place
    assert place is not None
    other = planned_showing(showing.exhibition, place)
    DisplayPeriod(
        showing=other,
        museum_object=other.museum_object,
        face=face_of(other),
        place=place,
        opened_by="install",
        opened_at=TURN,
    ).keep(**kept_by())
    with pytest.raises(Refused) as refused:
        shown_again(crew, showing)
    assert codes(refused) == ["place.taken"]


def test_an_object_is_swapped_with_another_not_with_itself(crew: Crew) -> None:
    showing = hung(crew)
    coming = ComingIn(showing=showing, face=face_of(showing, 2))
    with pytest.raises(Refused) as refused:
        swap(
            **hands(crew),
            at=TURN,
            going_out=showing,
            coming_in=coming,
            carried_off_with=None,
            started_at=TURN,
            done_at=TURN,
        )
    assert codes(refused) == ["swap.same"]


@pytest.mark.parametrize("field", ["curator_told_at", "lender_told_at"])
def test_nobody_was_told_in_the_future(crew: Crew, field: str) -> None:
    showing = hung(crew, faces=1)
    values: dict[str, Any] = {"early_reason": "It slipped.", "curator_told_at": TURN}
    values[field] = TURN + A_DAY
    with pytest.raises(Refused) as refused:
        take_down(
            by=crew.conservator,
            role=Role.CONSERVATOR,
            at=TURN,
            showing=showing,
            said=found(TURN, **values),
            second=crew.technician,
            second_role=Role.TECHNICIAN,
        )
    assert [(r.code, r.field) for r in refused.value.reasons] == [("takedown.future", field)]


def test_one_person_is_not_both_hands_of_a_take_down(crew: Crew) -> None:
    showing = hung(crew, faces=1)
    with pytest.raises(Refused) as refused:
        take_down(
            by=crew.conservator,
            role=Role.CONSERVATOR,
            at=TURN,
            showing=showing,
            said=found(TURN, early_reason="It slipped.", curator_told_at=TURN),
            second=crew.conservator,
            second_role=Role.CONSERVATOR,
        )
    assert [reason.field for reason in refused.value.reasons] == ["second_person"]


@pytest.mark.parametrize("role", [Role.CONSERVATOR, Role.CURATOR, Role.TECHNICIAN])
def test_a_file_is_closed_and_passed_on_by_those_who_register(crew: Crew, role: Role) -> None:
    showing = put_at(planned_showing(make_exhibition(), None), Stage.REHOUSING)
    said: dict[str, Any] = {"by": make_person(role), "role": role, "at": TURN}
    with pytest.raises(NotAllowed):
        send_home(**said, showing=showing)
    with pytest.raises(NotAllowed):
        pass_on(
            **said,
            showing=showing,
            coming=planned_showing(make_exhibition(), None, museum_object=showing.museum_object),
            movement=None,
            travel_housing="",
            conservator=crew.conservator,
        )
    kept = Showing.objects.get(pk=showing.pk)
    assert (kept.resting_until, kept.passed_on_to) == (showing.resting_until, None)


def test_showing_again_takes_two_who_may_handle_it(crew: Crew) -> None:
    showing = turned_out(crew)
    strangers = {
        "one": hand(crew.conservator, Role.CONSERVATOR),
        "other": hand(make_person(Role.TECHNICIAN), Role.TECHNICIAN),
    }
    with pytest.raises(NotAllowed):
        show_again(**strangers, at=TURN, showing=showing, shown=None, done_at=TURN)  # type: ignore[arg-type]
