"""Today: whose task is it, in which order, where is it done; and at what cost in queries."""

from datetime import UTC, date, datetime, time, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import NoReverseMatch, reverse

from lifecycle.letters.morning import morning_letter
from lifecycle.process.duties.duty import Band
from lifecycle.process.stages import Role, Stage
from lifecycle.queries.errands import MOVE_PAGES, PAGES
from lifecycle.queries.morning import morning_of
from lifecycle.queries.readiness import exhibitions_seen, readiness_table
from lifecycle.queries.rights import may_see_showings, person_facts
from lifecycle.queries.today import drafts_of, today_of
from lifecycle.records.models import DeputyTerm, Instrument, Person, Showing
from tests.builders.condition import start_draft
from tests.builders.core import AT, kept_by, make_person
from tests.builders.display import make_crew, put_at
from tests.builders.light import shown_since_march as shown
from tests.builders.treatment import make_sent
from tests.builders.trip import Museum, Trip

pytestmark = pytest.mark.django_db
R = Role


@pytest.fixture
def trip() -> Trip:
    return Trip(Museum())


def codes(person: Person, at: Any) -> list[str]:
    return [line.key.split(":")[0] for line in today_of(person, at)]


def test_a_request_waits_for_a_conservator_and_for_nobody_else(trip: Trip) -> None:
    (line,) = today_of(trip.crew.conservator, trip.at)
    assert line.text.startswith(f"The request for {trip.thing.object_number} is not answered")
    assert (line.url_name, line.url_kwargs) == ("request-answer", {"uid": str(trip.showing.uid)})
    assert (line.object_number, line.role) == (trip.thing.object_number, R.CONSERVATOR)
    for person in (trip.crew.curator, trip.crew.registrar, trip.crew.technician, trip.crew.head):
        assert today_of(person, trip.at) == []


def test_what_is_done_is_gone(trip: Trip) -> None:
    assert codes(trip.crew.conservator, trip.at) == ["answer.missing"]
    trip.answer()
    assert codes(trip.crew.conservator, trip.at) == ["move.take_in"]


def test_the_tasks_of_a_curator_are_those_of_their_own_exhibitions(trip: Trip) -> None:
    put_at(trip.showing, Stage.MOUNTING, trip.at)
    assert "caption.open" in codes(trip.crew.curator, trip.at)
    assert codes(make_person(R.CURATOR), trip.at) == []


def test_a_consent_is_for_the_one_named_and_for_a_deputy_with_dates(trip: Trip) -> None:
    """Decided point 6: a named deputy with dates may consent."""
    trip.deal_with("baseline.report")
    put_at(trip.showing, Stage.EXAMINATION, trip.at)
    make_sent(trip.crew.conservator, showing=trip.row(), at=trip.tick(), finish_by=AT.date())
    assert "consent" in codes(trip.crew.curator, trip.at)
    deputy = make_person(R.PHOTOGRAPHER)
    assert codes(deputy, trip.at) == []
    DeputyTerm(
        for_person=trip.crew.curator,
        deputy=deputy,
        role=R.CURATOR,
        from_on=trip.at.date(),
        until_on=trip.at.date() + timedelta(days=7),
    ).keep(**kept_by())
    assert codes(deputy, trip.at) == ["consent"]
    assert codes(deputy, trip.at + timedelta(days=9)) == []


def test_a_person_without_posts_or_past_their_end_has_an_empty_day(trip: Trip) -> None:
    gone = make_person(R.CONSERVATOR, ends_on=trip.at.date() - timedelta(days=1))
    assert today_of(gone, trip.at) == []
    assert today_of(make_person(), trip.at) == []


def test_a_held_object_stands_first(trip: Trip) -> None:
    trip.hold()
    lines = today_of(trip.crew.conservator, trip.at)
    assert lines[0].band is Band.HARD_OVERDUE
    assert lines[0].url_name == "hold"


def test_the_steward_hears_of_meters_and_of_accounts_that_end() -> None:
    """Our own days: meter calibration due in 30 days; account end date in 14 days."""
    steward = make_person(R.STEWARD)
    day = AT.date()
    Instrument(
        kind="lux_and_uv", name="Meter 7", serial="7", calibration_due=day + timedelta(days=30)
    ).keep(**kept_by())
    Instrument(
        kind="lux_and_uv", name="Meter 8", serial="8", calibration_due=day + timedelta(days=31)
    ).keep(**kept_by())
    make_person(R.ATTENDANT, name="Gil Perrin", ends_on=day + timedelta(days=14))
    make_person(R.ATTENDANT, ends_on=day + timedelta(days=15))
    texts = [line.text for line in today_of(steward, AT)]
    assert texts == [
        "Send Meter 7 to be calibrated.",
        "Extend or close the account of Gil Perrin.",
    ]


def test_drafts_are_named_until_they_are_signed(trip: Trip) -> None:
    draft = start_draft(trip.thing, by=trip.crew.conservator, faces=trip.faces)
    (found,) = drafts_of(trip.crew.conservator)
    assert draft.report_no in found.text
    assert drafts_of(trip.crew.curator) == []


@pytest.mark.parametrize("read", ["today", "readiness", "exhibitions"])
def test_the_number_of_queries_does_not_grow(read: str) -> None:
    museum = Museum()
    who = person_facts(museum.crew.conservator, museum.now)

    def cost() -> int:
        with CaptureQueriesContext(connection) as counted:
            if read == "today":
                assert today_of(museum.crew.conservator, museum.now + timedelta(days=1))
            elif read == "readiness":
                assert readiness_table(museum.exhibition, who, museum.now)
            else:
                assert exhibitions_seen(who, museum.now)
        return len(counted)

    Trip(museum)
    first = cost()
    for _ in range(2):
        Trip(museum)
    assert cost() == first


def test_the_readiness_line_says_what_is_late_and_what_blocks(trip: Trip) -> None:
    who = person_facts(trip.crew.registrar, trip.at)
    (line,) = readiness_table(trip.museum.exhibition, who, trip.at)
    assert (line.object_number, line.stage) == (trip.thing.object_number, Stage.SELECTION)
    assert (line.word, line.next_word) == ("late", "Take in for examination")
    assert line.late_by > 0
    trip.hold()
    (line,) = readiness_table(trip.museum.exhibition, who, trip.at)
    assert line.word == "stopped"
    (found,) = exhibitions_seen(who, trip.at)
    assert (found.objects, found.before_display, found.on_display) == (1, 1, 0)
    stranger = person_facts(make_person(R.MOUNT_MAKER), trip.at)
    assert exhibitions_seen(stranger, trip.at) == []
    assert readiness_table(trip.museum.exhibition, stranger, trip.at) == []


def test_a_list_shows_what_the_rights_table_shows(trip: Trip) -> None:
    """Lists are filtered by the same rule as pages: own jobs, own gallery, the pass."""
    everything = Showing.objects.all()
    for person, seen in (
        (trip.crew.registrar, True),
        (make_person(R.STEWARD), True),
        (make_person(R.MOUNT_MAKER), False),
        (make_person(R.ATTENDANT), False),
        (make_person(R.COURIER), False),
        (make_person(), False),
    ):
        facts = person_facts(person, trip.at)
        assert may_see_showings(facts, everything).exists() is seen


def test_every_page_named_for_a_reason_is_there() -> None:
    """A reason without a page would be a task without a click."""
    uid = "00000000-0000-0000-0000-000000000001"
    missing = set()
    names = {n for p in PAGES.values() for n in (p.subject, p.showing, p.plain) if n}
    for name in names | set(MOVE_PAGES.values()):
        for kwargs in ({"uid": uid}, {}):
            try:
                reverse(name, kwargs=kwargs)
                break
            except NoReverseMatch:
                continue
        else:
            missing.add(name)
    assert missing == set()


@pytest.mark.parametrize(
    ("day", "in_hand", "holders"),
    [
        (date(2026, 9, 17), 22, set()),
        (date(2026, 9, 18), 21, set()),
        (date(2026, 9, 19), 20, {"conservator"}),
        (date(2026, 10, 2), 7, {"conservator"}),
        (date(2026, 10, 3), 6, {"conservator", "manager"}),
        (date(2026, 10, 9), 0, {"conservator", "manager", "head"}),
        (date(2026, 10, 11), -2, {"conservator", "manager", "head"}),
    ],
)
def test_few_days_in_hand_stand_on_today_and_in_the_letter_of_more_and_more_people(
    day: date, in_hand: int, holders: set[str]
) -> None:
    crew = make_crew()
    row = shown(crew)
    at = datetime.combine(day, time(9), UTC)
    assert row.exhibition.manager is not None
    people = {
        "conservator": crew.conservator,
        "manager": row.exhibition.manager,
        "head": crew.head,
        "other manager": make_person(R.EXHIBITION_MANAGER),
        "registrar": crew.registrar,
    }
    lines = {
        name: [line for line in today_of(person, at) if line.key.startswith("in-hand:")]
        for name, person in people.items()
    }
    assert {name for name, found in lines.items() if found} == holders
    for name in holders:
        (line,) = lines[name]
        assert line.days_in_hand == in_hand
        letter = morning_letter(morning_of(person=people[name], day=day, at=at), site="http://x")
        assert letter is not None
        assert line.text in letter.body
