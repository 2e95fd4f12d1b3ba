"""A form tells the minute, a journal the second: what is told in one minute is in order.

Each pair stands as in use: the earlier deed is kept with its seconds, the later is told in the same
minute. What is told a minute earlier is out of order and is refused.
"""

from datetime import datetime, timedelta
from typing import Any

import pytest

from lifecycle.actions.display.rotating import show_again, start_rotation
from lifecycle.actions.display.taking_down import take_down
from lifecycle.actions.incidents import Completion, complete_incident, start_incident, tell
from lifecycle.actions.light import report_light_event
from lifecycle.actions.loans import ask_leave, record_leave
from lifecycle.actions.movements import authorise_movement, hand_over, receive
from lifecycle.actions.refusals import Refused
from lifecycle.actions.signing import on_paper
from lifecycle.actions.treatment import decide_deviation
from lifecycle.process.stages import Role
from lifecycle.process.words import LightKind, PlaceKind, ReportKind
from lifecycle.queries.light import light_of
from lifecycle.records.models import (
    DisplayPeriod,
    LenderLeave,
    Movement,
    Showing,
    TakeDown,
    TurnRecord,
)
from lifecycle.records.models.display.rotation import SupportDone
from lifecycle.records.models.incidents import ToldWhom
from lifecycle.records.models.light import ChangeOfLight
from lifecycle.records.models.movements import StateOnArrival
from lifecycle.records.models.treatment import Decision, DeviationConsent
from tests.actions.preparation.test_cases_and_housing import facts, prove
from tests.actions.test_display_ending import NOW, taken_over
from tests.actions.test_display_take_down import found, part_a
from tests.actions.test_display_turns import TURN, compared, hands, hung, whole
from tests.actions.test_incidents import happening
from tests.actions.test_loans import lent_showing
from tests.actions.treatment.lab import Lab
from tests.actions.treatment.test_refused_proposals import paper
from tests.actions.treatment.test_report import Treated
from tests.builders.core import AT, make_face, make_museum, make_object, make_person, make_place
from tests.builders.display import (
    Crew,
    face_of,
    hand,
    make_crew,
    plan_way,
    planned_showing,
    running,
    signed_report,
)
from tests.builders.light import hang, make_case, read_light
from tests.builders.preparation import Workshop
from tests.builders.treatment import HOUR, make_picture

pytestmark = pytest.mark.django_db
A_MINUTE = timedelta(minutes=1)
LATE = timedelta(seconds=41)


def test_what_was_taken_over_may_be_turned_in_the_same_minute() -> None:
    crew = make_crew()
    showing = taken_over(crew)
    period = DisplayPeriod.objects.get()
    period.opened_at = NOW + LATE
    period.keep(by=None, role="", why="With its seconds.", at=NOW, fields=["opened_at"])
    signed_report(crew, showing, ReportKind.OFF_GOING_FACE, NOW + A_MINUTE, period.face)
    said: dict[str, Any] = {"one": hand(crew.conservator, Role.CONSERVATOR), "showing": showing}
    said |= {"other": hand(crew.registrar, Role.REGISTRAR), "at": NOW + 5 * A_MINUTE}
    with pytest.raises(Refused, match="before the face came on show"):
        start_rotation(**said, reason="It fades.", started_at=NOW - A_MINUTE)
    start_rotation(**said, reason="It fades.", started_at=NOW)
    assert DisplayPeriod.objects.get().closed_at == NOW + LATE


def test_nothing_is_taken_down_before_it_came_on_show() -> None:
    crew = make_crew()
    showing = hung(crew, faces=1)
    opened = DisplayPeriod.objects.get(showing=showing).opened_at

    def down(at: datetime) -> TakeDown:
        said = found(at, early_reason="It slipped.", lamps_off_at=at, curator_told_at=at)
        return take_down(
            by=crew.conservator,
            role=Role.CONSERVATOR,
            at=opened + HOUR,
            showing=showing,
            said=said,
            second=crew.technician,
            second_role=Role.TECHNICIAN,
        )

    part_a(crew, showing, opened + HOUR)
    with pytest.raises(Refused, match="before the face came on show"):
        down(opened - A_MINUTE)
    assert down(opened + HOUR).at == opened + HOUR


def test_a_turn_ends_in_the_minute_it_began_at_the_earliest() -> None:
    crew = make_crew()
    showing = hung(crew)
    compared(crew, showing)
    start_rotation(
        **hands(crew), at=TURN + LATE, showing=showing, started_at=TURN + LATE, reason="Half-way."
    )
    coming = face_of(showing, 2)
    signed_report(crew, showing, ReportKind.ON_COMING_FACE, TURN + A_MINUTE, coming)

    def again(done_at: datetime) -> TurnRecord:
        shown = whole(Showing.objects.get(pk=showing.pk), support=SupportDone.CHANGED)
        return show_again(
            **hands(crew), at=TURN + 5 * A_MINUTE, showing=showing, shown=shown, done_at=done_at
        )

    with pytest.raises(Refused, match="ended after it began"):
        again(TURN - A_MINUTE)
    with pytest.raises(Refused, match="ended after it began"):
        again(TURN + 6 * A_MINUTE)
    assert again(TURN).done_at == TURN + LATE


def carried(crew: Crew) -> Movement:
    """On its way since a moment with seconds."""
    showing = planned_showing(running(), None)
    row = plan_way(crew, [showing], make_place("Bench 3", PlaceKind.BENCH), TURN)
    authorise_movement(by=crew.registrar, role=Role.REGISTRAR, at=TURN, movement=row)
    return hand_over(
        by=crew.conservator,
        role=Role.CONSERVATOR,
        at=TURN + LATE,
        movement=row,
        hand=hand(crew.conservator, Role.CONSERVATOR),
        left_at=TURN + LATE,
    )


def test_an_object_arrives_in_the_minute_it_left_at_the_earliest() -> None:
    crew = make_crew()
    row = carried(crew)

    def arrive(arrived_at: datetime) -> Movement:
        return receive(
            by=crew.registrar,
            role=Role.REGISTRAR,
            at=TURN + 5 * A_MINUTE,
            movement=row,
            hand=hand(crew.registrar, Role.REGISTRAR),
            arrived_at=arrived_at,
            state=StateOnArrival.SAME,
        )

    with pytest.raises(Refused, match="can't have arrived before it left"):
        arrive(TURN - A_MINUTE)
    assert arrive(TURN).arrived_at == TURN + LATE


def test_a_lender_answers_in_the_minute_of_the_question_at_the_earliest() -> None:
    crew = make_crew()
    said: dict[str, Any] = {"by": crew.registrar, "role": Role.REGISTRAR, "at": NOW + HOUR}
    asked = ask_leave(**said, showing=lent_showing(), asked_at=NOW + LATE)

    def answer(answered_at: datetime) -> LenderLeave:
        return record_leave(
            **said, leave=asked, given=True, answered_at=answered_at, answered_by="Lev Ardmore"
        )

    with pytest.raises(Refused, match="came after the question"):
        answer(NOW - A_MINUTE)
    assert answer(NOW).answered_at == NOW + LATE


def test_an_incident_is_made_safe_and_told_in_the_minute_it_was_found_at_the_earliest() -> None:
    crew = make_crew()
    said: dict[str, Any] = {"by": crew.conservator, "role": Role.CONSERVATOR, "at": NOW + HOUR}
    row = start_incident(
        by=crew.conservator,
        role=Role.CONSERVATOR,
        at=NOW + A_MINUTE,
        said=happening(objects=[make_object()], discovered_at=NOW + LATE),
    )
    safe: dict[str, Any] = {"made_safe_what": "Laid flat under blotter."}
    told: dict[str, Any] = {"whom": ToldWhom.CURATOR, "name": "Wen Castellane", "how": "by letter"}
    with pytest.raises(Refused, match="told after it was found"):
        tell(**said, incident=row, told_at=NOW - A_MINUTE, **told)
    with pytest.raises(Refused, match="made safe after it was found"):
        complete_incident(
            **said, incident=row, said=Completion(**safe, made_safe_at=NOW - A_MINUTE)
        )
    tell(**said, incident=row, told_at=NOW, **told)
    done = complete_incident(**said, incident=row, said=Completion(**safe, made_safe_at=NOW))
    assert done.made_safe_at == NOW


def test_a_deviation_is_decided_on_paper_in_the_minute_of_the_step_at_the_earliest() -> None:
    lab = Lab()
    step = lab.log(at=AT + HOUR + LATE, deviation=True, deviation_why="The tear ran on.")

    def decide(signed_at: datetime) -> DeviationConsent:
        pen = on_paper(
            person=lab.wen,
            role=Role.CURATOR,
            scan=paper(),
            read_back_by=lab.marit,
            signed_at=signed_at,
        )
        return decide_deviation(hand=pen, at=AT + 3 * HOUR, step=step, decision=Decision.AGREE)

    with pytest.raises(Refused, match="can't be older than the step"):
        decide(AT + HOUR - A_MINUTE)
    assert decide(AT + HOUR).decided_at == AT + HOUR


def test_pictures_and_check_of_the_minute_of_the_step_are_before_and_after_it() -> None:
    treated = Treated()
    step_at = AT + HOUR
    face, light = treated.face, LightKind.RAKING
    within = {
        "before": make_picture(face, taken_at=step_at + LATE, light=light),
        "after": make_picture(face, taken_at=step_at, light=light),
    }
    treated.pair(**within)
    with pytest.raises(Refused, match="after the first step"):
        treated.pair(before=make_picture(face, taken_at=step_at + A_MINUTE, light=light))
    with pytest.raises(Refused, match="before the last step"):
        treated.pair(after=make_picture(face, taken_at=step_at - A_MINUTE, light=light))


def test_a_fit_is_tried_in_the_minute_the_mount_was_measured_at_the_earliest() -> None:
    shop = Workshop()
    mount = shop.mount()
    mount.measured_at = AT + LATE
    mount.keep(by=None, role="", why="With its seconds.", at=AT, fields=["measured_at"])
    with pytest.raises(Refused, match="measured only afterwards"):
        shop.fit(mount, checked_at=AT - A_MINUTE)
    assert shop.fit(mount, checked_at=AT).checked_at == AT


@pytest.mark.parametrize(("after", "counts"), [(LATE, True), (A_MINUTE, False)])
def test_light_proven_in_the_minute_of_a_light_event_counts(after: timedelta, counts: bool) -> None:
    shop = Workshop()
    prove(shop)
    report_light_event(
        **shop.conservator(after=2),
        place=shop.place,
        what=ChangeOfLight.LAMP_REPLACED,
        from_at=AT + after,
    )
    assert (facts(shop).light_proof is not None) is counts


@pytest.mark.parametrize(("after", "counts"), [(LATE, True), (A_MINUTE, False)])
def test_light_read_in_the_minute_of_a_light_event_is_not_asked_again(
    after: timedelta, counts: bool
) -> None:
    make_museum()
    case, conservator = make_case(), make_person(Role.CONSERVATOR)
    place = make_place(parent=case)
    read_light(place, "48", AT)
    period = hang(make_face(make_object()), place, opened_at=AT - HOUR, closed_at=None)
    report_light_event(
        by=conservator,
        role=Role.CONSERVATOR,
        at=AT + HOUR,
        place=case,
        what=ChangeOfLight.LAMP_REPLACED,
        from_at=AT + after,
    )
    due = light_of([period.showing], AT + 2 * HOUR)[period.showing_id].watch.reading_due
    assert (due != AT.date()) is counts
