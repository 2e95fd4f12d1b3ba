"""Turns and swaps: compared before, shown again by two; a second venue; taken back."""

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from lifecycle.actions.display.appointments import Plan, plan_appointment
from lifecycle.actions.display.reading import NOTHING_READ
from lifecycle.actions.display.rotating import Shown, show_again, start_rotation
from lifecycle.actions.display.swapping import ComingIn, swap
from lifecycle.actions.movements import authorise_movement, receive
from lifecycle.actions.refusals import Refused
from lifecycle.actions.strikes import strike_move
from lifecycle.process.stages import Role, Stage
from lifecycle.process.words import PlaceKind, ReportKind
from lifecycle.queries.signed_text.registry import faults_of, kind_of
from lifecycle.records.models import (
    Appointment,
    DisplayPeriod,
    Facsimile,
    JournalEntry,
    LightReading,
    Movement,
    MuseumObject,
    Place,
    Showing,
    TurnRecord,
)
from lifecycle.records.models.display.rotation import AppointmentKind, SupportDone, SwapDone
from lifecycle.records.models.movements import StateOnArrival
from tests.builders.core import make_exhibition, make_place
from tests.builders.display import (
    Crew,
    a_photo,
    all_seen,
    bring,
    face_of,
    hand,
    make_case,
    make_crew,
    meter_says,
    name_technician,
    on_display,
    plan_way,
    planned_showing,
    put_at,
    ready_showing,
    signed_report,
)

pytestmark = pytest.mark.django_db
INSTALLED = datetime(2026, 3, 11, 9, 30, tzinfo=UTC)
TURN = datetime(2026, 6, 8, 8, 0, tzinfo=UTC)


def hands(crew: Crew) -> dict[str, Any]:
    return {
        "one": hand(crew.conservator, Role.CONSERVATOR),
        "other": hand(crew.technician, Role.TECHNICIAN),
    }


def hung(crew: Crew, faces: int = 2, name: str = "N3") -> Showing:
    _, positions = make_case(name, 2)
    return on_display(crew, positions[0], INSTALLED, faces=faces)


def compared(crew: Crew, showing: Showing) -> None:
    face = DisplayPeriod.objects.get(showing=showing, closed_at=None).face
    signed_report(crew, showing, ReportKind.OFF_GOING_FACE, TURN - timedelta(minutes=30), face)


def taken_out(crew: Crew, showing: Showing, **values: Any) -> TurnRecord:
    values.setdefault("reason", "The first half is over.")
    values.setdefault("started_at", TURN)
    return start_rotation(**hands(crew), at=TURN, showing=showing, **values)


def whole(showing: Showing, order: int = 2, **values: Any) -> Shown:
    place = values.pop("place", showing.place)
    said: dict[str, Any] = {
        "to_face": face_of(showing, order),
        "place": place,
        "support": SupportDone.CHANGED,
        "support_fits": True,
        "way_up_right": True,
        "facsimile": SwapDone.DONE,
        "caption": SwapDone.DONE,
        "photo_after": a_photo(),
        "meter": meter_says("45"),
    }
    return Shown(**(said | values))


def shown_again(crew: Crew, showing: Showing, **values: Any) -> TurnRecord:
    at = values.pop("at", TURN + timedelta(minutes=40))
    return show_again(
        **hands(crew), at=at, showing=showing, shown=whole(showing, **values), done_at=at
    )


def turned_out(crew: Crew) -> Showing:
    showing = hung(crew)
    compared(crew, showing)
    taken_out(crew, showing)
    coming = face_of(showing, 2)
    signed_report(crew, showing, ReportKind.ON_COMING_FACE, TURN + timedelta(minutes=20), coming)
    return Showing.objects.get(pk=showing.pk)


def test_a_turn_closes_one_period_and_opens_the_next() -> None:
    crew = make_crew()
    showing = turned_out(crew)
    assert showing.stage == Stage.ROTATION
    assert DisplayPeriod.objects.get(showing=showing).closed_at == TURN
    turn = shown_again(crew, showing)
    assert Showing.objects.get(pk=showing.pk).stage == Stage.ON_DISPLAY
    period = DisplayPeriod.objects.get(showing=showing, closed_at=None)
    assert (period.face, period.turn, period.opened_by) == (face_of(showing, 2), turn, "turn")
    assert turn.off_report is not None
    assert turn.on_report is not None
    assert LightReading.objects.filter(lux=45, showing=showing).exists()
    assert list(faults_of(TurnRecord.objects.get(pk=turn.pk), kind_of(turn))) == []


def test_an_uncompared_face_is_not_turned_away() -> None:
    crew = make_crew()
    showing = hung(crew)
    with pytest.raises(Refused, match="was not compared before it is turned away"):
        taken_out(crew, showing)
    assert not TurnRecord.objects.exists()
    assert DisplayPeriod.objects.get(showing=showing).closed_at is None


def test_a_turn_that_nobody_planned_needs_a_reason() -> None:
    crew = make_crew()
    showing = hung(crew)
    compared(crew, showing)
    with pytest.raises(Refused, match="No turn is planned"):
        taken_out(crew, showing, reason=" ")


def test_a_planned_turn_asks_for_support_and_facsimile_of_the_next_face() -> None:
    crew = make_crew()
    showing = hung(crew)
    compared(crew, showing)
    planned = name_technician(
        crew,
        showing,
        AppointmentKind.TURN,
        TURN,
        from_face=face_of(showing, 1),
        to_face=face_of(showing, 2),
    )
    with pytest.raises(Refused) as refused:
        taken_out(crew, showing, appointment=planned)
    assert {reason.code for reason in refused.value.reasons} == {"mount.fit", "facsimile.missing"}
    assert not Facsimile.objects.exists()


GAPS: list[tuple[dict[str, Any], str]] = [
    ({"support": None}, "turn.support"),
    ({"support_fits": False}, "turn.support_fits"),
    ({"way_up_right": False}, "turn.way_up_right"),
    ({"facsimile": None}, "turn.facsimile"),
    ({"caption": None}, "turn.caption"),
    ({"photo_after": None}, "turn.photo_after"),
    ({"meter": NOTHING_READ}, "turn.lux"),
]


@pytest.mark.parametrize(("gap", "code"), GAPS, ids=[code for _, code in GAPS])
def test_each_thing_not_done_keeps_the_face_off_show(gap: dict[str, Any], code: str) -> None:
    crew = make_crew()
    showing = turned_out(crew)
    with pytest.raises(Refused) as refused:
        shown_again(crew, showing, **gap)
    assert code in {reason.code for reason in refused.value.reasons}
    assert Showing.objects.get(pk=showing.pk).stage == Stage.ROTATION
    assert TurnRecord.objects.get().done_at is None


def test_the_on_coming_face_is_looked_at_before_it_is_shown() -> None:
    crew = make_crew()
    showing = hung(crew)
    compared(crew, showing)
    taken_out(crew, showing)
    with pytest.raises(Refused, match=r"on-coming face .* was not looked at"):
        shown_again(crew, showing)


def test_a_turn_cannot_end_before_it_began() -> None:
    crew = make_crew()
    showing = turned_out(crew)
    with pytest.raises(Refused, match="ended after it began"):
        show_again(
            **hands(crew),
            at=TURN + timedelta(hours=1),
            showing=showing,
            shown=whole(showing),
            done_at=TURN - timedelta(minutes=1),
        )


def test_a_rotation_started_in_error_is_put_back_on_show() -> None:
    crew = make_crew()
    showing = hung(crew)
    compared(crew, showing)
    taken_out(crew, showing)
    entry = JournalEntry.objects.get(showing=showing, move="start_rotation")
    strike_move(
        entry_id=entry.pk,
        by=crew.conservator,
        role=Role.CONSERVATOR,
        at=TURN + timedelta(minutes=5),
        reason="The wrong case.",
    )
    assert Showing.objects.get(pk=showing.pk).stage == Stage.ON_DISPLAY
    assert DisplayPeriod.objects.get(showing=showing).closed_at is None
    assert "taken back" in TurnRecord.objects.get().ended_without
    again = taken_out(crew, Showing.objects.get(pk=showing.pk))
    assert again.done_at is None


def test_showing_again_in_error_leaves_the_signed_record_and_goes_on() -> None:
    crew = make_crew()
    showing = turned_out(crew)
    signed = shown_again(crew, showing)
    entry = JournalEntry.objects.get(showing=showing, move="show_again")
    strike_move(
        entry_id=entry.pk,
        by=crew.conservator,
        role=Role.CONSERVATOR,
        at=TURN + timedelta(hours=1),
        reason="The support was the old one.",
    )
    row = Showing.objects.get(pk=showing.pk)
    assert row.stage == Stage.ROTATION
    assert TurnRecord.objects.get(pk=signed.pk).digest != ""
    second = shown_again(crew, row, at=TURN + timedelta(hours=2))
    assert second.pk != signed.pk
    assert DisplayPeriod.objects.filter(showing=row, closed_at=None, struck_at=None).count() == 1


def test_a_second_venue_is_a_second_span_in_one_showing() -> None:
    crew = make_crew()
    showing = hung(crew, faces=1)
    compared(crew, showing)
    taken_out(crew, showing, reason="The tour goes on to the second venue.")
    _, there = make_case("V1", 1)
    bring(crew, showing, there[0], TURN + timedelta(hours=1))
    at = TURN + timedelta(hours=3)
    signed_report(crew, showing, ReportKind.ON_COMING_FACE, at, face_of(showing))
    show_again(
        **hands(crew),
        at=at,
        showing=showing,
        shown=whole(showing, order=1, place=there[0]),
        done_at=at,
    )
    spans = DisplayPeriod.objects.filter(showing=showing).order_by("pk")
    assert [span.place.name for span in spans] == ["N3/1", "V1/1"]
    assert {span.face for span in spans} == {face_of(showing)}


def two_for_one_place(crew: Crew) -> tuple[Showing, Showing, Place, Movement]:
    going = hung(crew, faces=1)
    compared(crew, going)
    place = going.place
    assert place is not None
    coming = planned_showing(going.exhibition, place)
    put_at(coming, Stage.READY, TURN)
    bring(crew, coming, place.parent or place, TURN)
    coming = Showing.objects.get(pk=coming.pk)
    name_technician(crew, coming, AppointmentKind.INSTALL, TURN)
    bench = make_place("Bench 2", PlaceKind.BENCH)
    way = plan_way(crew, [Showing.objects.get(pk=going.pk)], bench, TURN)
    authorise_movement(by=crew.registrar, role=Role.REGISTRAR, at=TURN, movement=way)
    return going, coming, place, way


def swap_them(crew: Crew, going: Showing, coming: Showing, way: Movement | None) -> Any:
    return swap(
        **hands(crew),
        at=TURN + timedelta(hours=1),
        going_out=going,
        coming_in=ComingIn(
            showing=coming, face=face_of(coming), seen=all_seen(meter=meter_says("46"))
        ),
        carried_off_with=way,
        started_at=TURN,
        done_at=TURN + timedelta(hours=1),
        reason="The pool rotates.",
    )


def test_two_objects_swap_in_one_position() -> None:
    crew = make_crew()
    going, coming, place, way = two_for_one_place(crew)
    turn, _ = swap_them(crew, going, coming, way)
    assert Showing.objects.get(pk=going.pk).stage == Stage.ROTATION
    assert Showing.objects.get(pk=coming.pk).stage == Stage.ON_DISPLAY
    period = DisplayPeriod.objects.get(place=place, closed_at=None)
    assert period.showing == coming
    assert turn.other_showing == coming
    way.refresh_from_db()
    assert way.left_at == TURN
    receive(
        by=crew.registrar,
        role=Role.REGISTRAR,
        at=TURN + timedelta(hours=2),
        movement=way,
        hand=hand(crew.registrar, Role.REGISTRAR),
        arrived_at=TURN + timedelta(hours=2),
        state=StateOnArrival.SAME,
    )
    thing = MuseumObject.objects.get(pk=going.museum_object_id)
    assert thing.current_location == way.to_place


def test_a_swap_without_a_way_off_changes_nothing() -> None:
    crew = make_crew()
    going, coming, place, _ = two_for_one_place(crew)
    with pytest.raises(Refused, match="Plan and authorise the movement"):
        swap_them(crew, going, coming, None)
    assert Showing.objects.get(pk=going.pk).stage == Stage.ON_DISPLAY
    assert DisplayPeriod.objects.get(place=place, closed_at=None).showing == going
    assert not TurnRecord.objects.exists()


def test_a_swap_whose_second_half_fails_leaves_the_first_in_place() -> None:
    crew = make_crew()
    going, coming, place, way = two_for_one_place(crew)
    with pytest.raises(Refused):
        swap(
            **hands(crew),
            at=TURN,
            going_out=going,
            coming_in=ComingIn(showing=coming, face=face_of(coming), seen=all_seen(photo=None)),
            carried_off_with=way,
            started_at=TURN,
            done_at=TURN,
            reason="The pool rotates.",
        )
    assert DisplayPeriod.objects.get(place=place, closed_at=None).showing == going
    assert Movement.objects.get(pk=way.pk).left_at is None


def test_a_planned_swap_is_done_when_both_have_changed() -> None:
    crew = make_crew()
    going, coming, _, way = two_for_one_place(crew)
    planned = plan_appointment(
        by=crew.registrar,
        role=Role.REGISTRAR,
        at=TURN,
        showing=going,
        plan=Plan(
            kind=AppointmentKind.SWAP,
            day=date(2026, 6, 8),
            place=going.place or way.to_place,
            person_1=crew.conservator,
            person_2=crew.technician,
            other_showing=coming,
            to_face=face_of(coming),
        ),
    )
    swap(
        **hands(crew),
        at=TURN + timedelta(hours=1),
        going_out=going,
        coming_in=ComingIn(showing=coming, face=face_of(coming), seen=all_seen()),
        carried_off_with=way,
        started_at=TURN,
        done_at=TURN + timedelta(hours=1),
        appointment=planned,
    )
    assert Appointment.objects.get(pk=planned.pk).state == "done"


def test_a_facsimile_may_hang_while_the_object_rests() -> None:
    """A showing in rotation has no open period: nothing of it collects light."""
    crew = make_crew()
    showing = turned_out(crew)
    assert not DisplayPeriod.objects.filter(showing=showing, closed_at=None).exists()
    assert showing.stage == Stage.ROTATION


def test_ready_showings_of_two_exhibitions_do_not_share_a_position() -> None:
    crew = make_crew()
    showing = hung(crew, faces=1)
    place = showing.place
    assert place is not None
    other = ready_showing(
        crew, make_place("N3/8", parent=place.parent), TURN, exhibition=make_exhibition()
    )
    assert other.place != place
