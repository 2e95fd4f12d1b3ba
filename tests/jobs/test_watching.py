"""What time alone makes pressing is told at the tick, from rows: once, whoever starts again."""

from collections.abc import Callable
from contextlib import AbstractContextManager
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from lifecycle.actions.loans import extend_loan
from lifecycle.jobs import watching
from lifecycle.process.stages import Role
from lifecycle.queries.telling import last_days_come
from lifecycle.records.models import Message, Movement, Person
from lifecycle.records.models.movements import ArrivalProof
from tests.actions.test_loans import loan
from tests.actions.test_movements import NOW as LEFT
from tests.actions.test_movements import _confirm, authorised, plan, received, released
from tests.builders.core import kept_by, make_exhibition, make_object, make_person
from tests.builders.display import Crew, make_crew
from tests.builders.light import read_light
from tests.builders.light import shown_since_march as shown

pytestmark = pytest.mark.django_db
Counted = Callable[[int], AbstractContextManager[Any]]
LAST = datetime(2026, 10, 9, 9, 0, tzinfo=UTC)
"""What the account says in October of a plate under 48 lx, last read in May: the months without
a reading are charged at the ceiling of 50 lx. tests/queries/test_light.py has the day in June."""
DAY = timedelta(days=1)


@pytest.fixture
def crew() -> Crew:
    return make_crew()


@pytest.fixture
def tick(monkeypatch: pytest.MonkeyPatch) -> Callable[[datetime], None]:
    def at(moment: datetime) -> None:
        with monkeypatch.context() as clock:
            clock.setattr(watching, "now", lambda: moment)
            watching.look_out()

    return at


Tick = Callable[[datetime], None]


def told(part: str = "") -> list[Person]:
    rows = Message.objects.filter(key__contains=part).select_related("person")
    return [row.person for row in rows.order_by("pk")]


def test_the_last_day_is_told_to_conservator_manager_and_head_and_not_before(
    crew: Crew, tick: Tick
) -> None:
    row = shown(crew)
    make_person(Role.EXHIBITION_MANAGER)  # of another exhibition
    tick(LAST - DAY)
    assert told() == []
    tick(LAST)
    assert told("last-day/") == [crew.conservator, crew.head, row.exhibition.manager]
    mail = Message.objects.filter(person=crew.head).get()
    assert "has its last day today" in mail.subject
    assert "Fri 9 Oct 2026" in mail.body
    assert f"/light/objects/{row.museum_object.uid}/" in mail.body


def test_a_worker_that_starts_again_tells_nothing_twice(crew: Crew, tick: Tick) -> None:
    shown(crew)
    for hour in range(3):
        tick(LAST + timedelta(hours=hour))
    assert len(told()) == 3


def test_it_is_told_once_more_when_the_day_has_passed_and_never_again(
    crew: Crew, tick: Tick
) -> None:
    shown(crew)
    for day in range(5):
        tick(LAST + day * DAY)
    assert told().count(crew.conservator) == 2
    subjects = [row.subject for row in Message.objects.filter(person=crew.head).order_by("pk")]
    assert ["last day today" in subjects[0], "past its last day" in subjects[1]] == [True, True]


def test_a_machine_that_was_off_on_the_day_tells_that_it_has_passed(crew: Crew, tick: Tick) -> None:
    shown(crew)
    tick(LAST + 3 * DAY)
    assert told().count(crew.conservator) == 1
    assert "past its last day" in Message.objects.filter(person=crew.head).get().subject


def test_a_reading_typed_in_late_that_moves_the_past_day_a_little_is_no_news(
    crew: Crew, tick: Tick
) -> None:
    row = shown(crew)
    tick(LAST + 2 * DAY)
    before = last_days_come(LAST + 2 * DAY)[0].last_day
    case = row.display_periods.get().place.parent
    assert case is not None
    august = datetime(2026, 8, 14, tzinfo=UTC)
    read_light(case, "52", august, by=crew.conservator, at=LAST + 2 * DAY)
    assert last_days_come(LAST + 3 * DAY)[0].last_day < before
    tick(LAST + 3 * DAY)
    assert told().count(crew.conservator) == 1


def test_one_person_with_two_posts_gets_one_mail(crew: Crew, tick: Tick) -> None:
    both = make_person(Role.CONSERVATOR, Role.EXHIBITION_MANAGER)
    shown(crew, exhibition=make_exhibition(manager=both))
    tick(LAST)
    assert told().count(both) == 1


def test_what_was_taken_down_is_not_told_of(crew: Crew, tick: Tick) -> None:
    row = shown(crew)
    period = row.display_periods.get()
    period.closed_at = LAST - DAY
    period.keep(**kept_by(), fields=["closed_at"])
    tick(LAST)
    assert told() == []


def test_a_last_day_that_was_put_off_is_told_when_it_comes(crew: Crew, tick: Tick) -> None:
    """The loan is the limit here; a longer loan puts the last day off, to the light's own."""
    lent = loan(crew, ends_on=(LAST - 30 * DAY).date())
    row = shown(crew)
    row.loan = lent
    row.keep(**kept_by(), fields=["loan"])
    tick(LAST - 30 * DAY)
    assert told().count(crew.conservator) == 1
    extend_loan(
        by=crew.registrar,
        role=Role.REGISTRAR,
        at=LAST - 30 * DAY,
        loan=lent,
        new_end=(LAST - 10 * DAY).date(),
        agreed_on=(LAST - 31 * DAY).date(),
        reason="The lender agreed.",
    )
    tick(LAST - 29 * DAY)
    assert told().count(crew.conservator) == 1
    tick(LAST - 10 * DAY)
    assert told().count(crew.conservator) == 2


@pytest.mark.parametrize("number", [1, 3])
def test_the_look_out_asks_the_same_queries_for_one_face_and_for_three(
    number: int, crew: Crew, django_assert_num_queries: Counted
) -> None:
    for _ in range(number):
        shown(crew)
    with django_assert_num_queries(24):
        assert len(last_days_come(LAST)) == number


def on_the_way(crew: Crew) -> Movement:
    row = authorised(crew, plan(crew, make_object()))
    released(crew, row)
    return row


def test_an_object_that_nobody_confirmed_for_a_day_is_told_to_the_registrars_once(
    crew: Crew, tick: Tick
) -> None:
    row = on_the_way(crew)
    tick(LEFT + DAY)
    assert told() == []
    for hour in range(1, 30, 7):
        tick(LEFT + DAY + timedelta(hours=hour))
    assert told("missing/") == [crew.registrar]
    mail = Message.objects.get()
    assert row.lines.get().museum_object.object_number in mail.subject
    assert "has not arrived" in mail.body


def test_an_object_received_without_a_scan_is_missing_until_it_is_confirmed(
    crew: Crew, tick: Tick
) -> None:
    row = on_the_way(crew)
    received(crew, row)
    tick(LEFT + 2 * DAY)
    assert told() == [crew.registrar]
    assert "nobody has confirmed that it is there" in Message.objects.get().body
    second = on_the_way(crew)
    received(crew, second)
    _confirm(crew, second, ArrivalProof.PAPER_READ_BACK)
    tick(LEFT + 2 * DAY)
    assert told() == [crew.registrar]


def test_one_half_that_goes_wrong_does_not_keep_the_other_quiet(
    crew: Crew, tick: Tick, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def broken(at: datetime) -> None:
        raise ZeroDivisionError

    broken.__name__ = "tell_last_days"
    monkeypatch.setattr(watching, "tell_last_days", broken)
    on_the_way(crew)
    tick(LEFT + 2 * DAY)
    assert told("missing/") == [crew.registrar]
    assert "tell_last_days went wrong" in caplog.text
