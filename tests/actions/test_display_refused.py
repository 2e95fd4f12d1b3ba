"""What display refuses, each for one reason alone: requests, answers, assessments, days, turns."""

from dataclasses import replace
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest

from lifecycle.actions.display.answering import answer_request, decline, override_answer
from lifecycle.actions.display.appointments import cancel_appointment, move_appointment
from lifecycle.actions.display.assessing import (
    Conditions,
    accept_conditions,
    sign_assessment,
    write_assessment,
)
from lifecycle.actions.display.going_home import pass_on, send_home
from lifecycle.actions.display.installing_case import install_case
from lifecycle.actions.display.requesting import FaceAsked
from lifecycle.actions.display.rotating import show_again
from lifecycle.actions.display.swapping import ComingIn, swap
from lifecycle.actions.display.taking_down import take_down
from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.process.stages import Role, Stage
from lifecycle.process.words import Answer, FitForDisplay, PlaceKind
from lifecycle.records.models import (
    Appointment,
    Assessment,
    DisplayPeriod,
    InstallCheck,
    RequestAnswer,
    Showing,
    TurnRecord,
    Vocabulary,
)
from lifecycle.records.models.display.assessment import AssessmentKind, RotationKind
from lifecycle.records.models.display.rotation import AppointmentKind
from tests.actions.test_appointments import moved, plan, shown
from tests.actions.test_display_requests import (
    CLOSES,
    IN_TIME,
    OPENS,
    answer,
    ask,
    asked_for,
    own_exhibition,
    whole_run,
    wish,
)
from tests.actions.test_display_take_down import found
from tests.actions.test_display_turns import TURN, hands, hung, shown_again, taken_out, turned_out
from tests.actions.test_loans import loan
from tests.builders.core import (
    kept_by,
    make_class,
    make_exhibition,
    make_face,
    make_object,
    make_person,
    make_place,
    make_word,
)
from tests.builders.display import (
    Crew,
    all_seen,
    face_of,
    hand,
    install_it,
    make_case,
    make_crew,
    planned_showing,
    put_at,
    ready_showing,
)

pytestmark = pytest.mark.django_db
A_DAY = timedelta(days=1)


@pytest.fixture
def crew() -> Crew:
    return make_crew()


def only(refused: pytest.ExceptionInfo[Refused]) -> list[str]:
    return [reason.code for reason in refused.value.reasons]


# --- asking and answering --------------------------------------------------------------------


def test_days_of_a_request_stand_in_order(crew: Crew) -> None:
    thing = make_object()
    exhibition, face = own_exhibition(crew), make_face(thing)
    upside = FaceAsked(face=face, from_on=CLOSES - A_DAY, until_on=OPENS + A_DAY)
    late = FaceAsked(face=face, from_on=OPENS, until_on=CLOSES + A_DAY)
    for said, code in (
        (replace(wish(whole_run(thing)), show_from=CLOSES, show_to=OPENS), "request.dates"),
        (wish(), "request.faces"),
        (wish(upside), "request.face_dates"),
        (wish(late), "request.face_dates"),
    ):
        with pytest.raises(Refused) as refused:
            ask(crew, exhibition, thing, said)
        assert only(refused) == [code]
    assert not Showing.objects.exists()


def test_a_loan_that_does_not_name_the_object_carries_no_request(crew: Crew) -> None:
    thing = make_object()
    said = wish(whole_run(thing), loan=loan(crew))
    with pytest.raises(Refused) as refused:
        ask(crew, own_exhibition(crew), thing, said)
    assert only(refused) == ["request.loan"]


@pytest.mark.parametrize(
    ("said", "values", "code"),
    [
        (Answer.YES, {"because": " "}, "answer.because"),
        (Answer.NO_UNTIL, {"grounds": ["light-budget"]}, "answer.earliest"),
    ],
)
def test_an_answer_is_given_in_whole(
    crew: Crew, said: Answer, values: dict[str, Any], code: str
) -> None:
    make_word(Vocabulary.GROUND, "light-budget", "light account")
    with pytest.raises(Refused) as refused:
        answer(crew, asked_for(crew), said, **values)
    assert only(refused) == [code]
    assert not RequestAnswer.objects.exists()


@pytest.mark.parametrize("stage", [Stage.TREATMENT, Stage.READY, Stage.ON_DISPLAY])
def test_the_request_is_answered_before_the_work_begins(crew: Crew, stage: Stage) -> None:
    showing = put_at(asked_for(crew), stage)
    with pytest.raises(Refused, match="answered in selection or examination"):
        answer(crew, showing, Answer.YES)


def test_an_override_says_yes_and_a_decline_says_no(crew: Crew) -> None:
    showing = asked_for(crew)
    answer(crew, showing, Answer.YES)
    with pytest.raises(Refused) as refused:
        override_answer(
            by=crew.head,
            role=Role.HEAD_OF_COLLECTIONS,
            at=IN_TIME,
            showing=showing,
            answer=Answer.NO,
            reason="It is the centre of the room.",
        )
    assert only(refused) == ["override.answer"]
    with pytest.raises(Refused) as refused:
        decline(
            by=crew.conservator,
            role=Role.CONSERVATOR,
            at=IN_TIME,
            showing=showing,
            grounds=[],
            because="No.",
            answer=Answer.YES,
        )
    assert only(refused) == ["decline.answer"]


def test_who_may_not_answer_or_decline_is_told_so(crew: Crew) -> None:
    showing = asked_for(crew)
    said: dict[str, Any] = {"at": IN_TIME, "showing": showing}
    with pytest.raises(NotAllowed):
        decline(by=crew.registrar, role=Role.REGISTRAR, grounds=[], because="No.", **said)
    with pytest.raises(NotAllowed):
        answer_request(
            by=crew.registrar, role=Role.REGISTRAR, answer=Answer.YES, because="Yes.", **said
        )
    assert not RequestAnswer.objects.exists()


# --- assessments -----------------------------------------------------------------------------


def conditions(**values: Any) -> Conditions:
    said: dict[str, Any] = {
        "kind": AssessmentKind.AT_BENCH,
        "fit": FitForDisplay.YES,
        "sensitivity_class": make_class("frail", max_showing_weeks=26),
        "lux_ceiling": 50,
        "uv_ceiling": 10,
        "max_dose_lx_h": 60_000,
        "max_weeks": 26,
        "rotation_plan": RotationKind.NONE,
        "look_every_days": 14,
        "reading_every_days": 28,
    }
    return Conditions(**(said | values))


def assess(crew: Crew, showing: Showing, **values: Any) -> Assessment:
    return write_assessment(
        by=crew.conservator,
        role=Role.CONSERVATOR,
        at=IN_TIME,
        showing=showing,
        said=conditions(**values),
    )


@pytest.mark.parametrize(
    ("values", "code"),
    [
        ({"fit": FitForDisplay.NO}, "assessment.grounds"),
        ({"t_min_c": Decimal(22), "t_max_c": Decimal(18)}, "assessment.band"),
        ({"rh_min": Decimal(60), "rh_max": Decimal(40)}, "assessment.band"),
        ({"rh_max": Decimal(101)}, "assessment.band"),
        ({"max_weeks": 0}, "assessment.weeks"),
        ({"max_weeks": 27}, "assessment.weeks"),
        ({"look_every_days": 0}, "assessment.intervals"),
        ({"reading_every_days": 0}, "assessment.intervals"),
        ({"lux_ceiling": 51}, "assessment.lux"),
        ({"uv_ceiling": 11}, "assessment.uv"),
    ],
)
def test_conditions_that_cannot_be_or_pass_the_house_rules_are_refused(
    crew: Crew, values: dict[str, Any], code: str
) -> None:
    """The limits are those of the demo museum's house rules v3 for class High."""
    with pytest.raises(Refused) as refused:
        assess(crew, asked_for(crew), **values)
    assert only(refused) == [code]
    assert not Assessment.objects.exists()


def test_an_assessment_is_written_signed_and_accepted_by_those_who_may(crew: Crew) -> None:
    showing = asked_for(crew)
    with pytest.raises(NotAllowed):
        write_assessment(
            by=crew.curator, role=Role.CURATOR, at=IN_TIME, showing=showing, said=conditions()
        )
    row = assess(crew, showing)
    conservator = hand(crew.conservator, Role.CONSERVATOR)
    curator = hand(crew.curator, Role.CURATOR)
    signed: dict[str, Any] = {"at": IN_TIME, "assessment": row}
    marit: dict[str, Any] = {"by": crew.conservator, "role": Role.CONSERVATOR}
    wen: dict[str, Any] = {"by": crew.curator, "role": Role.CURATOR}
    with pytest.raises(NotAllowed):
        sign_assessment(**wen, **signed, hand=curator)
    with pytest.raises(Refused, match="A conservator signs the assessment first"):
        accept_conditions(**wen, **signed, hand=curator)
    sign_assessment(**marit, **signed, hand=conservator)
    with pytest.raises(Refused, match="This version is signed"):
        sign_assessment(**marit, **signed, hand=conservator)
    with pytest.raises(NotAllowed):
        accept_conditions(**marit, **signed, hand=conservator)
    assert assess(crew, showing, max_weeks=20).version == 2
    with pytest.raises(Refused, match="There is a later version"):
        accept_conditions(**wen, **signed, hand=curator)


def test_a_closed_showing_is_not_assessed(crew: Crew) -> None:
    showing = put_at(asked_for(crew), Stage.WITHDRAWN)
    with pytest.raises(Refused, match="is closed"):
        assess(crew, showing)


# --- planned days ----------------------------------------------------------------------------


def test_a_swap_is_planned_with_another_object_of_the_same_exhibition(crew: Crew) -> None:
    showing = shown(crew)
    elsewhere = planned_showing(make_exhibition(), None)
    swap_plan: dict[str, Any] = {"kind": AppointmentKind.SWAP, "from_face": None}
    with pytest.raises(Refused, match="can't be swapped with itself"):
        plan(crew, showing, **swap_plan, other_showing=showing, to_face=face_of(showing, 1))
    with pytest.raises(Refused, match="belongs to another exhibition"):
        plan(crew, showing, **swap_plan, other_showing=elsewhere, to_face=face_of(elsewhere))
    beside = planned_showing(showing.exhibition, None)
    with pytest.raises(Refused, match="Name the face of the object that goes in"):
        plan(crew, showing, **swap_plan, other_showing=beside, to_face=face_of(showing, 1))
    assert not Appointment.objects.exists()


def test_a_day_is_moved_and_called_off_by_those_who_schedule(crew: Crew) -> None:
    row = plan(crew, shown(crew))
    said: dict[str, Any] = {"by": crew.technician, "role": Role.TECHNICIAN, "at": IN_TIME}
    with pytest.raises(NotAllowed):
        move_appointment(
            **said, appointment=row, day=row.day + A_DAY, reason="Late.", agreed_by=crew.head
        )
    with pytest.raises(NotAllowed):
        cancel_appointment(**said, appointment=row, reason="No.")
    with pytest.raises(Refused) as refused:
        moved(crew, row, person_2=make_person(Role.CURATOR))
    assert only(refused) == ["appointment.person_post"]
    assert Appointment.objects.get().state == "planned"


def test_a_turn_follows_a_plan_of_its_own_that_is_still_open(crew: Crew) -> None:
    showing = hung(crew)
    stranger = planned_showing(showing.exhibition, make_place(kind=PlaceKind.POSITION), faces=2)
    put_at(stranger, Stage.ON_DISPLAY)
    other = plan(crew, stranger)
    with pytest.raises(Refused, match="was planned for another showing"):
        taken_out(crew, showing, appointment=other)
    own = plan(crew, showing)
    cancel_appointment(
        by=crew.registrar, role=Role.REGISTRAR, at=IN_TIME, appointment=own, reason="Not needed."
    )
    with pytest.raises(Refused, match="already"):
        taken_out(crew, showing, appointment=own)
    assert not TurnRecord.objects.exists()


# --- in the gallery --------------------------------------------------------------------------

NOON = datetime.combine(date(2026, 3, 11), datetime.min.time(), tzinfo=IN_TIME.tzinfo)


def test_an_install_lies_behind_shows_a_face_of_its_own_and_names_who_accepts(crew: Crew) -> None:
    _, (place,) = make_case("N7", 1)
    showing = ready_showing(crew, place, NOON)
    with pytest.raises(Refused) as refused:
        install_it(crew, showing, NOON, face=make_face())
    assert only(refused) == ["install.face"]
    with pytest.raises(Refused) as refused:
        install_it(crew, showing, NOON, seen=all_seen(deviation="On the left."))
    assert only(refused) == ["install.deviation"]
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
    assert only(refused) == ["place.kind"]


def test_a_turn_begins_behind_now_and_shows_a_face_of_the_object(crew: Crew) -> None:
    showing = turned_out(crew)
    with pytest.raises(Refused) as refused:
        shown_again(crew, showing, to_face=make_face())
    assert only(refused) == ["turn.face"]
    with pytest.raises(Refused, match="there is nothing to turn"):
        taken_out(crew, showing)
    ready = hung(crew, name="N6")
    with pytest.raises(Refused) as refused:
        taken_out(crew, ready, started_at=TURN + A_DAY)
    assert only(refused) == ["turn.future"]
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
    assert only(refused) == ["place.taken"]


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
    assert only(refused) == ["swap.same"]


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
