"""Duties: one per rule, with its day, its people and a key that stays."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from lifecycle.process.duties import Duty, band_of, duties, in_order
from lifecycle.process.duties.duty import Band
from lifecycle.process.facts.display import AppointmentFacts, OnShow
from lifecycle.process.facts.home import IncidentFacts, MovementFacts, PaperFacts
from lifecycle.process.facts.light import FlagFacts, WatchFacts
from lifecycle.process.facts.objects import HoldFacts
from lifecycle.process.facts.showing import ShowingFacts, WaiverFacts
from lifecycle.process.stages import CLOSED, Role, Stage
from lifecycle.process.switches import Switch
from lifecycle.process.working_days import working_days_after
from tests.process.lawful import FULL, B, lawful, made, moment, put

R = Role
TODAY = FULL.today


def shown(**changes: object) -> ShowingFacts:
    """On display in the middle of a long run, with nothing due."""
    facts = lawful("take_down")
    facts = put(facts, "exhibition.closes", TODAY + timedelta(days=200))
    facts = put(facts, "request.show_to", TODAY + timedelta(days=200))
    facts = put(facts, "display.appointments", ())
    facts = put(facts, "journal", (made("install", Stage.ON_DISPLAY, moment(3, 11)),))
    for path, value in changes.items():
        facts = put(facts, path.replace("__", "."), value)
    return facts


def by_code(facts: ShowingFacts, code: str) -> Duty:
    found = [duty for duty in duties(facts) if duty.code == code]
    assert len(found) == 1, [duty.code for duty in duties(facts)]
    return found[0]


def codes(facts: ShowingFacts) -> set[str]:
    return {duty.code for duty in duties(facts)}


def test_a_quiet_showing_on_display_asks_for_nothing() -> None:
    assert codes(shown()) == set()


@pytest.mark.parametrize("stage", [None, *sorted(CLOSED)])
def test_what_is_closed_or_not_asked_for_asks_for_nothing(stage: Stage | None) -> None:
    assert codes(put(lawful("send_home"), "stage", stage)) == set()


def test_a_request_is_to_be_decided_in_ten_working_days() -> None:
    facts = put(lawful("take_in"), "answer", None)
    facts = put(facts, "journal", (made("request", Stage.SELECTION, moment(9, 1)),))
    duty = by_code(facts, "answer.missing")
    assert (duty.role, duty.due_on) == (R.CONSERVATOR, working_days_after(date(2026, 9, 1), 10))
    assert duty.due_on == date(2026, 9, 15)


def test_when_nothing_is_in_the_way_the_duty_is_to_make_the_move() -> None:
    duty = by_code(lawful("take_in"), "move.take_in")
    assert "nothing stands in the way" in duty.text
    assert duty.role is R.CONSERVATOR


@pytest.mark.parametrize(
    ("move", "due"),
    [
        ("no_treatment_needed", date(2026, 3, 2) - timedelta(weeks=12)),
        ("finish_treatment", date(2026, 3, 2) - timedelta(weeks=5)),
        ("declare_ready", date(2026, 3, 1)),
        ("show_again", date(2026, 9, 7)),
        ("pass_check", date(2026, 9, 21)),
        ("send_home", date(2026, 9, 14)),
    ],
)
def test_a_stage_has_its_day(move: str, due: date) -> None:
    facts = put(lawful(move), "display.appointments", ())
    assert by_code(facts, f"move.{move}").due_on == due


def test_aftercare_counts_from_the_day_it_began() -> None:
    facts = lawful("finish_treatment")
    facts = put(facts, "proposals.0.aftercare", True)
    facts = put(facts, "journal", (made("aftercare", Stage.TREATMENT, moment(8, 3)),))
    assert by_code(facts, "move.finish_treatment").due_on == date(2026, 8, 10)


def test_a_preparation_is_due_by_the_day_of_its_gate() -> None:
    facts = put(lawful("declare_ready"), "preparation.caption.approved", False)
    duty = by_code(facts, "caption.open")
    assert (duty.role, duty.due_on) == (R.CURATOR, date(2026, 3, 2) - timedelta(days=14))


def test_a_picture_job_is_for_the_photographer_who_has_it() -> None:
    facts = put(lawful("declare_ready"), "preparation.imaging.0.accepted", False)
    facts = put(facts, "preparation.imaging.0.person_id", 9)
    assert by_code(facts, "imaging.open").people == frozenset({9})
    facts = put(facts, "preparation.imaging.0.for_whom_id", 4)
    assert by_code(facts, "imaging.open").people == frozenset({9, 4})


def test_a_facsimile_is_its_makers_until_it_is_delivered() -> None:
    facts = put(lawful("declare_ready"), "preparation.facsimiles.0.delivered", False)
    facts = put(facts, "preparation.facsimiles.0.placed", False)
    assert [duty.people for duty in duties(facts) if duty.code == "facsimile.missing"] == [set()]
    facts = put(facts, "preparation.facsimiles.0.person_id", 9)
    maker, curator = (duty for duty in duties(facts) if duty.code == "facsimile.missing")
    assert (maker.people, maker.due_on) == (frozenset({9}), curator.due_on)
    assert (curator.people, curator.role) == (frozenset(), R.CURATOR)


def test_a_slip_is_the_registrars_to_plan_once_it_is_ready_or_its_day_is_near() -> None:
    facts = put(lawful("install"), "home.movements", ())
    duty, due = by_code(facts, "route.slip"), date(2026, 3, 2) - timedelta(days=3)
    assert (duty.role, duty.due_on) == (R.REGISTRAR, due)
    before = put(facts, "stage", Stage.TREATMENT)
    assert "route.slip" in codes(put(before, "today", due - timedelta(days=14)))
    assert "route.slip" not in codes(put(before, "today", due - timedelta(days=15)))
    assert "route.slip" in codes(put(facts, "today", due - timedelta(days=15)))
    assert "route.slip" not in codes(put(facts, "rules.off", frozenset({Switch.ROUTES})))
    assert "route.slip" not in codes(lawful("install"))


@pytest.mark.parametrize("move", ["take_in", "begin_treatment", "finish_treatment", "install"])
def test_pictures_asked_for_are_somebodys_at_every_stage_and_once(move: str) -> None:
    facts = put(lawful(move), "preparation.imaging.0.accepted", False)
    facts = put(facts, "preparation.imaging.0.person_id", 9)
    late = put(facts, "preparation.imaging.0.due_on", TODAY - timedelta(days=3))
    duty = by_code(late, "imaging.open")
    assert (duty.people, duty.days_in_hand) == (frozenset({9}), -3)
    job = late.preparation.imaging[0].job_no
    waived = put(late, "waivers", (WaiverFacts(code="imaging.open", about=job),))
    assert "imaging.open" not in codes(waived)


def test_pictures_asked_for_before_declare_ready_say_what_waits_for_them() -> None:
    facts = put(lawful("declare_ready"), "preparation.imaging.0.accepted", False)
    assert "declare ready" in by_code(facts, "imaging.open").why


def test_install_is_planned_and_then_belongs_to_the_people_named() -> None:
    facts = lawful("install")
    duty = by_code(facts, "plan.install")
    assert (duty.role, duty.due_on) == (R.REGISTRAR, date(2026, 2, 16))
    day = AppointmentFacts(
        uid="ap", kind=OnShow.INSTALL, day=TODAY, people=("M", "B"), people_ids=frozenset({4, 5})
    )
    duty = by_code(put(facts, "display.appointments", (day,)), "move.install")
    assert (duty.people, duty.due_on, duty.hard) == (frozenset({4, 5}), TODAY, True)


def test_the_end_is_planned_in_the_last_week_the_loan_counted_in() -> None:
    facts = shown(request__show_to=TODAY + timedelta(days=7))
    assert by_code(facts, "plan.take_down").due_on == TODAY + timedelta(days=7)
    assert codes(shown(request__show_to=TODAY + timedelta(days=8))) == set()
    lent = shown(home__loan__ends_on=TODAY + timedelta(days=6))
    assert codes(lent) == {"plan.take_down", "loan.end"}
    own = put(put(facts, "home.loan", None), "display.appointments", ())
    assert by_code(own, "plan.take_down")


def test_a_loan_that_ends_is_told_sixty_days_before() -> None:
    assert "loan.end" in codes(shown(home__loan__ends_on=TODAY + timedelta(days=60)))
    assert "loan.end" not in codes(shown(home__loan__ends_on=TODAY + timedelta(days=61)))


def test_a_hold_stops_and_is_first_in_the_list() -> None:
    hold = HoldFacts(uid="h", reason="a split", placed_by="Marit", placed_on=date(2026, 9, 4))
    facts = shown(object__holds=(hold,))
    duty = by_code(facts, "object.held")
    assert (duty.due_on, duty.stopped, duty.subject_uid) == (date(2026, 9, 8), True, "h")
    assert band_of(duty, TODAY) is Band.HARD_OVERDUE


WATCH = WatchFacts(
    place="Case N4",
    place_uid="n4",
    last_reading="r1",
    reading_due=TODAY + timedelta(days=7),
    last_look="l1",
    look_due=TODAY + timedelta(days=7),
)


def test_a_reading_is_a_task_of_the_case_and_a_look_one_of_the_object() -> None:
    facts = shown(light__watch=WATCH)
    reading, look = by_code(facts, "light.reading"), by_code(facts, "look.due")
    assert reading.key == "reading:n4:r1"
    other = put(facts, "showing_no", "RQ-0008")
    assert by_code(other, "light.reading").key == reading.key
    assert by_code(other, "look.due").key != look.key
    assert R.ATTENDANT in look.also
    later = replace(WATCH, reading_due=TODAY + timedelta(days=8), look_due=None)
    assert codes(shown(light__watch=later)) == set()


@pytest.mark.parametrize(("act_now", "words"), [(True, "now"), (False, "look again")])
def test_a_flag_gets_an_answer(act_now: bool, words: str) -> None:
    flag = FlagFacts(uid="f", act_now=act_now, flagged_on=TODAY, answer_due=TODAY)
    duty = by_code(shown(light__flags=(flag,)), "look.flag")
    assert words in duty.text
    assert duty.stopped is act_now


def turn(days: int, **values: object) -> AppointmentFacts:
    fields: dict[str, object] = {
        "uid": "ap",
        "kind": OnShow.TURN,
        "day": TODAY + timedelta(days=days),
        "people": ("Marit Oldacre", "Bram Oduya"),
        "people_ids": frozenset({4, 5}),
        "to_face_id": B,
        "to_face": "B",
        "occurrence": "AP-1",
    }
    return AppointmentFacts(**{**fields, **values})  # type: ignore[arg-type]


def test_a_turn_is_told_to_its_people_fourteen_days_ahead() -> None:
    assert codes(shown(display__appointments=(turn(15),))) == set()
    facts = shown(display__appointments=(turn(14),))
    duty = by_code(facts, "move.start_rotation")
    assert (duty.people, duty.hard) == (frozenset({4, 5}), True)
    assert duty.why == "Planned with Marit Oldacre and Bram Oduya."
    said = shown(display__appointments=(turn(14, reason="Most even of the allowed days."),))
    assert by_code(said, "move.start_rotation").why.endswith(
        "Oduya. Most even of the allowed days."
    )
    moved = shown(display__appointments=(turn(10),))
    assert by_code(moved, "move.start_rotation").key == duty.key, "the key stays when the day moves"
    out = put(facts, "stage", Stage.ROTATION)
    assert by_code(out, "move.show_again").role is R.CONSERVATOR


def test_a_turn_that_lost_its_people_or_passed_its_last_day_says_so() -> None:
    lost = shown(display__appointments=(turn(10, people=("Marit Oldacre",)),))
    assert by_code(lost, "turn.people").role is R.REGISTRAR
    late = shown(display__appointments=(turn(2, last_day=TODAY - timedelta(days=1)),))
    duty = by_code(late, "turn.late")
    assert (duty.role, duty.stopped) == (R.HEAD_OF_COLLECTIONS, True)
    alone = shown(display__appointments=(turn(2, people=()),))
    assert "with nobody" in by_code(alone, "move.start_rotation").why


def test_a_swap_names_what_takes_the_place_and_done_ones_are_silent() -> None:
    swap = turn(3, kind=OnShow.SWAP, swap_for="HCM.M.88", to_face_id=None)
    assert "HCM.M.88" in by_code(shown(display__appointments=(swap,)), "move.start_rotation").text
    quiet = (turn(3, done=True), turn(3, kind=OnShow.TAKE_DOWN, uid="d"))
    assert codes(shown(display__appointments=quiet)) == set()


def test_a_second_face_asks_for_a_turn_three_weeks_before() -> None:
    start = TODAY + timedelta(days=30)
    facts = shown(faces__1__from_on=start)
    duty = by_code(facts, "turn.plan")
    assert (duty.role, duty.due_on) == (R.REGISTRAR, start - timedelta(weeks=3))
    planned = put(facts, "display.appointments", (turn(30),))
    assert "turn.plan" not in codes(planned)


def test_housing_is_chased_from_twenty_eight_days_before_closing() -> None:
    """28 days from closing and no housing made: it is in the list."""
    closing = TODAY + timedelta(days=28)
    facts = shown(exhibition__closes=closing, preparation__housing__fits=False)
    duty = by_code(facts, "housing.fits")
    assert (duty.role, duty.due_on) == (R.CONSERVATOR, closing - timedelta(days=14))
    waived = put(facts, "waivers", (WaiverFacts(code="housing.fits"),))
    assert codes(waived) == set()
    early = put(facts, "exhibition.closes", closing + timedelta(days=1))
    assert codes(early) == set()


def test_an_arrival_is_looked_for_after_a_day() -> None:
    yesterday = FULL.moment - timedelta(hours=25)
    on_the_way = MovementFacts(uid="m", number="MV-3", to_place="Bay 2", left_at=yesterday)
    assert by_code(shown(home__movements=(on_the_way,)), "movement.arrival").due_on == TODAY
    arrived = replace(on_the_way, arrived_at=yesterday)
    assert "movement.arrival" in codes(shown(home__movements=(arrived,)))
    today = replace(on_the_way, left_at=FULL.moment - timedelta(hours=24))
    assert codes(shown(home__movements=(today,))) == set()
    planned = replace(on_the_way, left_at=None)
    assert codes(shown(home__movements=(planned,))) == set()


def test_a_paper_is_for_the_one_who_printed_it() -> None:
    paper = PaperFacts(number="PR-1", title="de-install form", expected_on=TODAY, printed_by_id=8)
    assert by_code(shown(home__papers_out=(paper,)), "paper.out").people == frozenset({8})
    nobody = replace(paper, printed_by_id=None)
    assert by_code(shown(home__papers_out=(nobody,)), "paper.out").people == frozenset()


def test_an_unsigned_report_waits_three_working_days() -> None:
    duty = by_code(shown(reports__2__signed=False), "report.unsigned")
    assert duty.due_on == working_days_after(date(2026, 9, 7), 3)
    elsewhere = shown(reports__2__signed=False, reports__2__this_showing=False)
    assert codes(elsewhere) == set()


def test_part_a_is_countersigned_the_same_day() -> None:
    facts = put(lawful("pass_check"), "reports.4.signed_by_conservator", False)
    duty = by_code(facts, "part_a.countersign")
    assert (duty.due_on, duty.hard) == (date(2026, 9, 7), True)
    missing = put(facts, "reports", ())
    assert by_code(missing, "part_a.missing").role is R.CONSERVATOR
    bare = put(put(missing, "journal", ()), "stage", Stage.DEINSTALL_CHECK)
    assert by_code(bare, "part_a.missing").due_on == TODAY
    stated = put(missing, "take_over.missing", frozenset({"part_a"}))
    assert "part_a.missing" not in codes(stated)
    assert "part_a.countersign" not in codes(lawful("pass_check"))
    cared_for = put(put(facts, "stage", Stage.TREATMENT), "reports.4.signed", False)
    assert by_code(cared_for, "part_a.missing").hard
    assert "part_a.countersign" not in codes(
        put(facts, "reports.4.countersigned_by_conservator", True)
    )


def test_an_incident_stays_until_it_is_settled() -> None:
    incident = IncidentFacts(uid="i", number="IN-4")
    assert by_code(shown(home__open_incidents=(incident,)), "incident.open").subject_uid == "i"


@pytest.mark.parametrize(("days", "word"), [(14, "ends:"), (-1, "has ended:")])
def test_a_waiver_that_ends_is_told_to_the_role_that_gave_it(days: int, word: str) -> None:
    waiver = WaiverFacts(
        code="mount.fit",
        about="B",
        by="Marit",
        role=R.CONSERVATOR,
        until=TODAY + timedelta(days=days),
    )
    assert word in by_code(shown(waivers=(waiver,)), "mount.fit").text
    later = replace(waiver, about="", until=TODAY + timedelta(days=15))
    assert codes(shown(waivers=(later, replace(later, until=None)))) == set()


def test_keys_hold_neither_today_nor_a_day_that_drifts() -> None:
    """Planning notes, D2: the occurrence is never today's date nor a computed due date."""
    facts = shown(light__watch=WATCH, reports__2__signed=False, faces__1__from_on=date(2026, 10, 1))
    tomorrow = put(facts, "today", TODAY + timedelta(days=1))
    tomorrow = put(tomorrow, "moment", datetime(2026, 9, 9, 9, tzinfo=UTC))
    assert [d.key for d in duties(facts)] == [d.key for d in duties(tomorrow)]


def test_a_duty_vanishes_when_its_fact_changes() -> None:
    facts = shown(reports__2__signed=False)
    assert codes(facts) == {"report.unsigned"}
    assert codes(put(facts, "reports.2.signed", True)) == set()


def duty(key: str, **values: object) -> Duty:
    fields: dict[str, object] = {"code": "", "text": "t", "why": "w", "role": R.CURATOR}
    return Duty(key=key, **{**fields, **values})  # type: ignore[arg-type]


def test_the_order_is_stopped_then_days_in_hand_then_day_then_number() -> None:
    late = TODAY - timedelta(days=3)
    found = in_order(
        [
            duty("f", object_number="2"),
            duty("e", object_number="1"),
            duty("d", due_on=TODAY + timedelta(days=9), days_in_hand=2),
            duty("c", due_on=TODAY, days_in_hand=1),
            duty("b", due_on=late),
            duty("a2", due_on=late, hard=True),
            duty("a1", stopped=True, days_in_hand=-9),
            duty("c", due_on=TODAY, days_in_hand=1),
        ],
        TODAY,
    )
    assert [one.key for one in found] == ["a1", "a2", "b", "c", "d", "e", "f"]


@pytest.mark.parametrize(
    ("values", "band"),
    [
        ({"stopped": True}, Band.HARD_OVERDUE),
        ({"due_on": TODAY - timedelta(days=1), "hard": True}, Band.HARD_OVERDUE),
        ({"due_on": TODAY - timedelta(days=1)}, Band.OVERDUE),
        ({"due_on": TODAY}, Band.TODAY),
        ({"due_on": TODAY + timedelta(days=7)}, Band.THIS_WEEK),
        ({"due_on": TODAY + timedelta(days=28)}, Band.FOUR_WEEKS),
        ({"due_on": TODAY + timedelta(days=29)}, Band.LATER),
        ({}, Band.LATER),
    ],
)
def test_bands(values: dict[str, object], band: Band) -> None:
    assert band_of(duty("k", **values), TODAY) is band
    assert band.label


def test_readings_stand_once_for_a_case_among_many_showings() -> None:
    facts = shown(light__watch=WATCH, faces__1__from_on=date(2026, 10, 1))
    many = [put(facts, "showing_no", f"RQ-{n}") for n in range(500)]
    found = in_order((one for each in many for one in duties(each)), TODAY)
    assert len([one for one in found if one.code == "light.reading"]) == 1
    assert len([one for one in found if one.code == "look.due"]) == 500
