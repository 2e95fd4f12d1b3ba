"""What the morning letter says, most pressing first, and that it is not written for nothing."""

from dataclasses import replace
from datetime import date

from lifecycle.letters.morning import MailText, morning_letter
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
LATE = MorningLine("Read the light at case 4.", "No reading since 3 May.", date(2026, 5, 31), "/a/")
TODAY = MorningLine("Write part A for HCM.1911.2.7.", "", DAY, "/b/")
COMING = MorningLine("Answer the request RQ-0007.", "", date(2026, 6, 3), "/c/")
UNDATED = MorningLine("Write the baseline report.", "", None, "")
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
    body = written(replace(EMPTY, lines=(UNDATED, COMING, TODAY, LATE), appointments=(TURN,))).body
    order = [LATE.text, TODAY.text, TURN.what, COMING.text, UNDATED.text]
    places = [body.index(text) for text in order]
    assert places == sorted(places)


def test_the_subject_counts_what_is_late_and_what_is_due_today() -> None:
    letter = written(replace(EMPTY, lines=(LATE, TODAY, COMING)))
    assert letter.subject == "Tuesday 2 June: 1 late, 1 due today"


def test_each_task_says_why_by_when_and_where_to_do_it() -> None:
    body = written(replace(EMPTY, lines=(LATE,))).body
    assert (
        "* Read the light at case 4.\n"
        "  was due on Sunday 31 May 2026, 2 days ago\n"
        "  No reading since 3 May.\n"
        "  https://showrest.example/a/\n"
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
