"""Whose morning letter is due: the hour on the wall clock of the person's zone, once a day.

Days on which clocks change: Europe/London 29 March and 25 October 2026, America/New_York
8 March 2026 (the rules of the tz database, as the package tzdata ships them).
"""

from datetime import UTC, date, datetime, timedelta

import pytest

from lifecycle.queries.letters import letters_due, troubled_mails
from lifecycle.records.models import MailState, Person
from tests.builders.core import AT, DAY, make_museum, make_person
from tests.builders.work import make_letter, make_message

pytestmark = pytest.mark.django_db


def moment(*parts: int) -> datetime:
    return datetime(*parts, tzinfo=UTC)  # type: ignore[arg-type, misc]


def due_days(person: Person, at: datetime) -> list[date]:
    return [due.day for due in letters_due(at=at) if due.person_id == person.pk]


def test_a_letter_is_due_from_the_hour_the_person_chose_in_the_museums_zone() -> None:
    make_museum()
    person = make_person(letter_hour=7)
    assert due_days(person, moment(2026, 6, 2, 5, 59)) == []  # 06:59 British Summer Time
    assert due_days(person, moment(2026, 6, 2, 6, 0)) == [date(2026, 6, 2)]


def test_a_zone_of_ones_own_moves_hour_and_day() -> None:
    make_museum()
    person = make_person(letter_hour=7, zone="Pacific/Auckland")  # UTC+12 in June
    assert due_days(person, moment(2026, 6, 2, 18, 59)) == []
    assert due_days(person, moment(2026, 6, 2, 19, 0)) == [date(2026, 6, 3)]


def test_a_machine_that_was_off_in_the_morning_writes_the_letter_later_that_day() -> None:
    make_museum()
    person = make_person(letter_hour=7)
    assert due_days(person, moment(2026, 6, 2, 20, 0)) == [date(2026, 6, 2)]


def test_an_hour_that_does_not_exist_when_clocks_go_forward_comes_with_the_next() -> None:
    make_museum()
    person = make_person(letter_hour=1)
    # 01:00 GMT becomes 02:00 BST on 29 March 2026: there is no 01:30 on that day.
    assert due_days(person, moment(2026, 3, 29, 0, 59)) == []
    assert due_days(person, moment(2026, 3, 29, 1, 0)) == [date(2026, 3, 29)]


def test_an_hour_that_comes_twice_when_clocks_go_back_writes_one_letter() -> None:
    make_museum()
    person = make_person(letter_hour=1)
    first, second = moment(2026, 10, 25, 0, 0), moment(2026, 10, 25, 1, 0)  # both 01:00 local
    assert due_days(person, first) == [date(2026, 10, 25)]
    make_letter(person=person, day=date(2026, 10, 25))
    assert due_days(person, second) == []


def test_the_hour_stays_on_the_wall_clock_across_a_change_of_clocks() -> None:
    make_museum()
    person = make_person(letter_hour=7, zone="America/New_York")
    assert due_days(person, moment(2026, 3, 7, 11, 59)) == []  # 06:59 EST
    assert due_days(person, moment(2026, 3, 7, 12, 0)) == [date(2026, 3, 7)]
    assert due_days(person, moment(2026, 3, 9, 10, 59)) == []  # 06:59 EDT
    assert due_days(person, moment(2026, 3, 9, 11, 0)) == [date(2026, 3, 9)]


def test_nobody_gets_a_letter_without_address_hour_or_after_their_last_day() -> None:
    make_museum()
    make_person(email="")
    make_person(letter_hour=None)
    make_person(ends_on=DAY - timedelta(days=1))
    last_day = make_person(ends_on=DAY)
    assert [due.person_id for due in letters_due(at=AT)] == [last_day.pk]


def test_a_zone_that_nobody_knows_does_not_stop_the_letters_of_the_others() -> None:
    make_museum()
    lost, other = make_person(zone="Atlantis/Harbour"), make_person()
    at = moment(2026, 6, 2, 9)
    assert [due.person_id for due in letters_due(at=at)] == [lost.pk, other.pk]


@pytest.mark.parametrize("people", [1, 3])
def test_who_is_due_takes_three_queries_however_many_people(
    people: int, django_assert_num_queries: object
) -> None:
    make_museum()
    for _ in range(people):
        make_person()
    with django_assert_num_queries(3):  # type: ignore[operator]
        letters_due(at=AT)


def test_a_mail_under_way_is_no_trouble_until_five_minutes_have_passed() -> None:
    letter = make_letter(state=MailState.CLAIMED, claimed_at=AT)
    assert troubled_mails(at=AT + timedelta(minutes=4)) == []
    (line,) = troubled_mails(at=AT + timedelta(minutes=5))
    assert (line.uid, line.state) == (str(letter.uid), "perhaps not sent")


def test_refused_letters_and_messages_are_listed_with_what_the_server_said() -> None:
    make_letter(state=MailState.REFUSED, answer="550 no such person")
    make_message(state=MailState.REFUSED, answer="452 try later")
    make_letter(state=MailState.HANDED_OVER, answer="Handed over.")
    lines = troubled_mails(at=AT)
    assert {(line.kind, line.state, line.answer) for line in lines} == {
        ("letter", "refused", "550 no such person"),
        ("message", "refused", "452 try later"),
    }
