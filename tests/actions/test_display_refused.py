"""What display refuses, each for one reason alone: requests, answers, assessments, planned days."""

from dataclasses import replace
from datetime import timedelta
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
from lifecycle.actions.display.requesting import FaceAsked
from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.process.stages import Role, Stage
from lifecycle.process.words import Answer, FitForDisplay, PlaceKind
from lifecycle.records.models import (
    Appointment,
    Assessment,
    RequestAnswer,
    Showing,
    TurnRecord,
    Vocabulary,
)
from lifecycle.records.models.display.assessment import AssessmentKind, RotationKind
from lifecycle.records.models.display.rotation import AppointmentKind
from tests.actions.refusing import codes
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
from tests.actions.test_display_turns import hung, taken_out
from tests.actions.test_loans import loan
from tests.builders.core import (
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
    face_of,
    hand,
    planned_showing,
    put_at,
)

pytestmark = pytest.mark.django_db
A_DAY = timedelta(days=1)


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
        assert codes(refused) == [code]
    assert not Showing.objects.exists()


def test_a_loan_that_does_not_name_the_object_carries_no_request(crew: Crew) -> None:
    thing = make_object()
    said = wish(whole_run(thing), loan=loan(crew))
    with pytest.raises(Refused) as refused:
        ask(crew, own_exhibition(crew), thing, said)
    assert codes(refused) == ["request.loan"]


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
    assert codes(refused) == [code]
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
    assert codes(refused) == ["override.answer"]
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
    assert codes(refused) == ["decline.answer"]


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
    assert codes(refused) == [code]
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
    assert codes(refused) == ["appointment.person_post"]
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
