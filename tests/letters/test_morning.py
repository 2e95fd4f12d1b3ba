"""What the morning letter says, most pressing first, and that it is not written for nothing."""

from dataclasses import replace
from datetime import date
from typing import Any

from lifecycle.letters.morning import MailText, morning_letter
from lifecycle.process.duties.duty import Band
from lifecycle.queries.morning import Morning, MorningAppointment, MorningLine

DAY = date(2026, 6, 2)
EMPTY = Morning(
    museum="Hollinshire County Museum",
    name="Ada Kestrel",
    day=DAY,
    roles=("conservator",),
    hour=7,
    zone="Europe/London",
    lines=(),
    appointments=(),
)


def task(text: str, band: Band, due_on: date | None = None, **values: Any) -> MorningLine:
    values = {"about": "", "why": "", "path": "/today/"} | values
    return MorningLine(text=text, band=band, due_on=due_on, **values)


STOPPED = task("Decide the hold.", Band.HARD_OVERDUE)
LATE = task(
    "Read the light at case 4.",
    Band.OVERDUE,
    date(2026, 5, 31),
    about="HCM.1911.2.7, The Rain Atlas",
    why="No reading since 3 May.",
    path="/places/1/readings/",
)
TODAY = task("Write part A.", Band.TODAY, DAY)
COMING = task("Answer the request RQ-0007.", Band.THIS_WEEK, date(2026, 6, 3))
LATER = task("Write the baseline report.", Band.FOUR_WEEKS)
TURN = MorningAppointment(
    day=date(2026, 6, 4),
    slot="09:30",
    what="Turn of HCM.1911.2.7, The Rain Atlas (folio 3 recto to folio 3 verso)",
    place="Case 4, position B",
    with_whom="Bram Holm",
    changed="",
)


def written(morning: Morning) -> MailText:
    text = morning_letter(morning, site="https://showrest.example")
    assert text is not None
    return text


def test_nothing_to_say_writes_no_letter() -> None:
    assert morning_letter(EMPTY, site="") is None


def test_the_most_pressing_stands_first() -> None:
    lines = (LATER, COMING, TODAY, LATE, STOPPED)
    body = written(replace(EMPTY, lines=lines, appointments=(TURN,))).body
    order = [STOPPED.text, LATE.text, TODAY.text, COMING.text, TURN.what, "1 more task for later"]
    places = [body.index(text) for text in order]
    assert places == sorted(places)


def test_what_presses_less_is_counted_and_not_listed() -> None:
    body = written(replace(EMPTY, lines=(LATER, LATER))).body
    assert "2 more tasks for later: they stand on Today." in body
    assert LATER.text not in body


def test_the_subject_counts_what_is_overdue_and_what_is_for_today() -> None:
    letter = written(replace(EMPTY, lines=(STOPPED, LATE, TODAY, COMING)))
    assert letter.subject == "Tuesday 2 June: 2 overdue, 1 for today"
    assert written(replace(EMPTY, lines=(COMING,))).subject == "Tuesday 2 June: 1 to come"


def test_each_task_says_why_by_when_and_where_to_do_it() -> None:
    body = written(replace(EMPTY, lines=(LATE,))).body
    assert (
        "* Read the light at case 4.\n"
        "  HCM.1911.2.7, The Rain Atlas\n"
        "  was due on Sunday 31 May 2026, 2 days ago\n"
        "  No reading since 3 May.\n"
        "  https://showrest.example/places/1/readings/\n"
    ) in body


def test_those_named_read_day_hour_place_and_with_whom() -> None:
    body = written(replace(EMPTY, appointments=(TURN,))).body
    assert "Thursday 4 June 2026 at 09:30, Case 4, position B, with Bram Holm" in body


def test_a_turn_that_passed_its_day_says_so() -> None:
    missed = replace(TURN, day=date(2026, 6, 1))
    body = written(replace(EMPTY, appointments=(missed,))).body
    assert "was planned for Monday 1 June 2026 and is not recorded as done" in body


def test_a_moved_day_is_told_with_its_reason() -> None:
    body = written(replace(EMPTY, appointments=(replace(TURN, changed="Courier is ill."),))).body
    assert "The day was moved: Courier is ill." in body


def test_the_letter_says_why_one_gets_it_and_who_decides() -> None:
    body = written(replace(EMPTY, lines=(TODAY,))).body
    assert "You get this letter as conservator." in body
    assert "from 07:00 in the zone Europe/London" in body
    assert "A conservator decides." in body


def test_what_was_asked_yesterday_has_its_link_in_the_letter_though_its_day_is_far_off() -> None:
    asked = replace(
        task("Decide on TP-0031 version 2.", Band.FOUR_WEEKS, date(2026, 6, 15), path="/consent/"),
        asked_on=date(2026, 6, 1),
    )
    body = written(replace(EMPTY, lines=(asked, LATER))).body
    assert "ASKED OF YOU SINCE YESTERDAY (1)" in body
    assert "https://showrest.example/consent/" in body
    assert "1 more task for later" in body
    the_day_after = replace(EMPTY, day=date(2026, 6, 3), lines=(asked, LATER))
    assert "/consent/" not in written(the_day_after).body
