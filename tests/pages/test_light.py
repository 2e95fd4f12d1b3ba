"""Pages of light without JavaScript: what they show, whom they let in, what they refuse."""

from collections.abc import Callable
from contextlib import AbstractContextManager
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils.timezone import now

from lifecycle.process.stages import Role
from lifecycle.process.words import Hazard, HazardEvidence
from lifecycle.records.models import (
    ClimateReading,
    Face,
    Instrument,
    LightEntry,
    LightEvent,
    LightReading,
    LitException,
    LitSpan,
    LitTimetable,
    Look,
    LookAnswer,
    ObjectHazard,
    Person,
    Place,
    RoleAssignment,
)
from tests.builders.core import (
    kept_by,
    make_face,
    make_museum,
    make_object,
    make_person,
    make_place,
)
from tests.builders.light import hang, make_case, make_meter, make_point, read_light

pytestmark = pytest.mark.django_db
Counted = Callable[[int], AbstractContextManager[Any]]


@pytest.fixture(autouse=True)
def _museum() -> None:
    make_museum()


@pytest.fixture
def case() -> Place:
    return make_case(name="Case N2")


def enter(client: Client, *roles: Role, gallery: Place | None = None) -> Person:
    person = make_person(*roles)
    for post in RoleAssignment.objects.filter(person=person):
        if gallery is not None:
            post.galleries.add(gallery)
            post.trained = True
            post.keep(**kept_by(), fields=["trained"])
    assert person.account is not None
    client.force_login(person.account)
    return person


def shown(case: Place, name: str = "a") -> Face:
    """A face put up in the case thirty days ago and read when it was put up."""
    face = make_face(make_object(title="Cloud study"))
    place = make_place(name=name, parent=case)
    opened = now() - timedelta(days=30)
    read_light(place, "48", opened)
    hang(face, place, opened_at=opened)
    return face


def text(client: Client, name: str, *args: Any, **query: Any) -> str:
    response = client.get(reverse(name, args=args), query)
    assert response.status_code == 200, response.status_code
    return response.content.decode()


def moment(at: datetime | None = None) -> str:
    return (at or now() - timedelta(minutes=5)).astimezone(UTC).isoformat(timespec="minutes")


def test_the_account_page_shows_figures_basis_and_plot(client: Client, case: Place) -> None:
    enter(client, Role.CONSERVATOR)
    face = shown(case)
    page = text(client, "light-face", face.uid)
    for words in ("Allowance", "75,000", "Spent", "Booked", "Left", "48 lx", "<svg", "Stretches"):
        assert words in page
    assert "last reading, carried on" in page
    assert 'data-theme="gallery"' not in page


def test_a_span_is_asked_for_by_a_plain_form_and_answered_on_the_page(
    client: Client, case: Place
) -> None:
    enter(client, Role.CURATOR)
    face = shown(case)
    later = (now() + timedelta(days=40)).date().isoformat()
    page = text(
        client, "light-face", face.uid, first_day=later, days=84, place=str(case.uid), lux="50"
    )
    assert "not before" in page
    assert "36 months" in page
    wrong = text(client, "light-face", face.uid, first_day="never", days="x", place="", lux="")
    assert "This is no day" in wrong


def test_the_data_behind_the_plot_is_a_table_no_spreadsheet_takes_for_a_formula(
    client: Client, case: Place
) -> None:
    enter(client, Role.CONSERVATOR)
    face = shown(case)
    face.label = "=1+1"
    face.keep(**kept_by(), fields=["label"])
    response = client.get(reverse("light-csv", args=[face.uid]))
    assert response["Content-Type"].startswith("text/csv")
    lines = response.content.decode().splitlines()
    assert lines[0].startswith("object,face,kind")
    assert "'=1+1" in lines[1]


def test_gallery_pages_open_dark(client: Client, case: Place) -> None:
    enter(client, Role.CONSERVATOR)
    face = shown(case)
    for name, uid in (
        ("readings", case.uid),
        ("reading-take", case.uid),
        ("light-event", case.uid),
        ("climate-take", case.uid),
        ("looks", case.uid),
        ("look-take", face.museum_object.uid),
    ):
        assert 'data-theme="gallery"' in text(client, name, uid), name
    assert 'data-theme="gallery"' in text(client, "round")


def test_a_reading_is_taken_and_an_odd_one_asked_about_once(client: Client, case: Place) -> None:
    enter(client, Role.CONSERVATOR)
    shown(case)
    meter, point = make_meter(), make_point(case)
    url = reverse("reading-take", args=[case.uid])
    data = {
        "lux": "47,5", "uv": "3", "point": point.pk, "instrument": meter.pk, "lamp_state": "show",
        "read_at": moment(),
    }  # fmt: skip
    assert client.post(url, data).status_code == 302
    assert LightReading.objects.filter(place=case).get().lux == Decimal("47.5")
    odd = {**data, "lux": "475"}
    page = client.post(url, odd).content.decode()
    assert "Look at the meter again" in page
    assert 'type="checkbox" name="sure"' in page
    assert 'value="475"' in page
    assert client.post(url, {**odd, "sure": "on"}).status_code == 302
    assert LightReading.objects.get(lux=475).suspicious


@pytest.mark.parametrize(
    ("field", "value", "words"),
    [
        ("lux", "-3", "between 0 and"),
        ("lux", "bright", "Enter a number"),
        ("lux", "", "required"),
        ("instrument", "", "Name the meter"),
        ("read_at", "yesterday", "no day and time"),
        ("point", "999999", "Select a valid choice"),
    ],
)
def test_bad_input_is_refused_beside_its_field_and_the_rest_is_kept(
    client: Client, case: Place, field: str, value: str, words: str
) -> None:
    enter(client, Role.CONSERVATOR)
    data = {
        "lux": "48", "instrument": make_meter().pk, "lamp_state": "show", "read_at": moment(),
        "note": "by the door",
    }  # fmt: skip
    response = client.post(reverse("reading-take", args=[case.uid]), {**data, field: value})
    assert response.status_code == 200
    page = response.content.decode()
    assert words in page
    assert "by the door" in page
    assert not LightReading.objects.exists()


def test_a_reading_is_corrected_from_its_line(client: Client, case: Place) -> None:
    enter(client, Role.CONSERVATOR)
    row = read_light(case, "480", now() - timedelta(days=1))
    assert reverse("reading-correct", args=[row.uid]) in text(client, "readings", case.uid)
    response = client.post(
        reverse("reading-correct", args=[row.uid]), {"lux": "48", "uv": "", "why": "A nought."}
    )
    assert response.status_code == 302
    page = text(client, "readings", case.uid)
    assert "<s>" in page
    assert "corrected" in page


def test_a_light_event_is_reported_in_three_taps(client: Client, case: Place) -> None:
    enter(client, Role.ATTENDANT, gallery=case)
    assert reverse("light-event", args=[case.uid]) in text(client, "readings", case.uid)
    page = text(client, "light-event", case.uid)
    assert 'name="what" value="lamp_replaced"' in page
    assert "hot and carry current" in page
    url = reverse("light-event", args=[case.uid])
    done = client.post(url, {"what": "lamp_replaced", "when": "now"}, follow=True)
    assert "to be read again today" in done.content.decode()
    assert LightEvent.objects.get().what == "lamp_replaced"
    wrong = client.post(url, {"what": "painted", "when": "now"}).content.decode()
    assert "Press the key" in wrong
    unknown = client.post(url, {"what": "dimmed", "when": "at"}).content.decode()
    assert "Enter the time" in unknown


def test_an_event_of_unknown_time_lies_between_the_last_reading_and_now(
    client: Client, case: Place
) -> None:
    enter(client, Role.CONSERVATOR)
    read_at = now() - timedelta(days=3)
    read_light(case, "48", read_at)
    client.post(
        reverse("light-event", args=[case.uid]), {"what": "dimmed", "when": "since_reading"}
    )
    kept = LightEvent.objects.get()
    assert kept.from_at == read_at
    assert kept.until_at > kept.from_at


def test_hazards_of_what_hangs_there_stand_on_the_reading_form(client: Client, case: Place) -> None:
    enter(client, Role.CONSERVATOR)
    face = shown(case)
    ObjectHazard(
        museum_object=face.museum_object,
        hazard=Hazard.MERCURY_SALTS,
        evidence=HazardEvidence.TESTED,
    ).keep(**kept_by())
    assert "Mercury salts" in text(client, "reading-take", case.uid)


def test_air_is_read_by_hand(client: Client, case: Place) -> None:
    enter(client, Role.ATTENDANT, gallery=case)
    url = reverse("climate-take", args=[case.uid])
    bad = client.post(url, {"t_c": "19", "rh": "140", "read_at": moment()}).content.decode()
    assert "between 0 and 100" in bad
    assert client.post(url, {"t_c": "19.4", "rh": "48", "read_at": moment()}).status_code == 302
    assert ClimateReading.objects.get().rh == 48


def test_a_look_is_kept_with_one_key_and_a_flag_gets_an_answer(client: Client, case: Place) -> None:
    face = shown(case)
    gil = enter(client, Role.ATTENDANT, gallery=case)
    assert "Look" in text(client, "looks", case.uid)
    url = reverse("look-take", args=[face.museum_object.uid])
    page = text(client, "look-take", face.museum_object.uid)
    for value in ("as_picture", "look_again", "act_now", "not_reached"):
        assert f'name="seen" value="{value}"' in page
    kept = {"looked_at": moment(), "note": "hazy <b>left</b>", "through_glass": "on"}
    assert client.post(url, {**kept, "seen": "look_again"}).status_code == 302
    flag = Look.objects.get()
    assert (flag.looked_by, flag.showing) == (gil, face.display_periods.get().showing)
    assert "hazy &lt;b&gt;left&lt;/b&gt;" in text(client, "readings", case.uid)
    wrong = client.post(url, {**kept, "seen": "broken"}).content.decode()
    assert "Press the key" in wrong
    why = client.post(url, {"looked_at": moment(), "seen": "not_reached"}).content.decode()
    assert "why it was not reached" in why
    answer = reverse("look-answer", args=[flag.uid])
    assert client.get(answer).status_code == 403
    enter(client, Role.CONSERVATOR)
    assert "Flags without an answer" in text(client, "light")
    assert client.post(answer, {"text": "seen, dust on glass, cleaned"}).status_code == 302
    assert LookAnswer.objects.get().look == flag
    assert "dust on glass" in text(client, "readings", case.uid)


def test_a_picture_that_is_no_picture_is_refused_and_the_look_not_kept(
    client: Client, case: Place
) -> None:
    from django.core.files.uploadedfile import SimpleUploadedFile  # noqa: PLC0415

    enter(client, Role.CONSERVATOR)
    face = shown(case)
    sent = SimpleUploadedFile("look.jpg", b"not a picture", content_type="image/jpeg")
    response = client.post(
        reverse("look-take", args=[face.museum_object.uid]),
        {"looked_at": moment(), "seen": "as_picture", "picture": sent},
    )
    assert response.status_code == 200
    assert not Look.objects.exists()


def test_a_place_is_found_by_its_printed_short_code(client: Client, case: Place) -> None:
    enter(client, Role.CONSERVATOR)
    face = shown(case)
    found = client.get(reverse("round"), {"code": case.code.lower()})
    assert found.headers["Location"] == reverse("readings", args=[case.uid])
    thing = client.get(reverse("round"), {"code": face.museum_object.code})
    assert thing.headers["Location"] == reverse("look-take", args=[face.museum_object.uid])
    assert "No place or object has the code" in text(client, "round", code="ZZZZZZZ")


def test_an_attendant_walks_the_own_gallery_only(client: Client, case: Place) -> None:
    elsewhere = make_case(name="Case S9")
    shown(case)
    shown(elsewhere)
    enter(client, Role.ATTENDANT, gallery=case)
    page = text(client, "round")
    assert "Case N2" in page
    assert "Case S9" not in page
    read = client.get(reverse("reading-take", args=[elsewhere.uid]))
    assert read.status_code == 403
    assert client.get(reverse("timetables")).status_code == 403


def test_a_past_showing_is_entered_from_old_files(client: Client) -> None:
    enter(client, Role.CONSERVATOR)
    face = make_face()
    url = reverse("past-light", args=[face.uid])
    data = {
        "from_on": "1998-03-01", "until_on": "1998-05-31", "low": "20000", "likely": "25000",
        "high": "40000", "basis": "50 to 80 lx", "source": "file note 1998",
    }  # fmt: skip
    backwards = client.post(url, {**data, "low": "50000"}).content.decode()
    assert "put the figures in order" in backwards
    assert client.post(url, data).status_code == 302
    entry = LightEntry.objects.get()
    assert "file note 1998" in text(client, "light-face", face.uid)
    fix = reverse("light-entry-correct", args=[entry.uid])
    assert (
        client.post(
            fix, {"low": "1", "likely": "2", "high": "3", "why": "Another sheet."}
        ).status_code
        == 302
    )
    assert LightEntry.objects.count() == 2


def test_lit_hours_are_kept_by_those_who_schedule(client: Client) -> None:
    enter(client, Role.REGISTRAR)
    response = client.post(
        reverse("timetable-new"),
        {"name": "East wing", "source": "timetable", "cover_factor_percent": "100"},
    )
    table = LitTimetable.objects.get(name="East wing")
    assert response.headers["Location"] == reverse("timetable", args=[table.uid])
    hours = reverse("span-new", args=[table.uid])
    backwards = {"weekdays": ["1"], "purpose": "public", "starts": "17:00", "ends": "10:00"}
    assert "ends after it starts" in client.post(hours, backwards).content.decode()
    good = {"weekdays": ["1", "2"], "purpose": "public", "starts": "10:00", "ends": "17:00"}
    assert client.post(hours, good).status_code == 302
    assert LitSpan.objects.count() == 2
    assert "14\N{NO-BREAK SPACE}h" in text(client, "timetable", table.uid)
    day = now().date().isoformat()
    late = {
        "on": day, "kind": "adds", "purpose": "events", "starts": "17:00", "ends": "22:30",
        "reason": "late opening",
    }  # fmt: skip
    assert client.post(reverse("exception-new", args=[table.uid]), late).status_code == 302
    row = LitException.objects.get()
    strike = reverse("exception-strike", args=[row.uid])
    assert client.post(strike, {"why": "called off"}).status_code == 302
    assert LitException.objects.get().struck
    end = reverse("span-retire", args=[LitSpan.objects.order_by("pk")[0].uid])
    assert client.post(end, {"from_on": day, "why": "new hours"}).status_code == 302
    change = reverse("timetable-change", args=[table.uid])
    covered = {
        "name": "East wing", "source": "timetable", "cover_factor_percent": "40", "why": "curtain",
    }  # fmt: skip
    assert "how the cover factor" in client.post(change, covered).content.decode()
    assert client.post(change, {**covered, "cover_basis": "six days"}).status_code == 302
    enter(client, Role.PHOTOGRAPHER)
    assert client.get(hours).status_code == 403


def test_instruments_are_kept_with_their_calibration(client: Client) -> None:
    enter(client, Role.STEWARD)
    data = {
        "kind": "lux", "name": "Lux meter", "serial": "LM-9", "correction_factor": "1.02",
        "calibration_due": "2020-01-01",
    }  # fmt: skip
    assert client.post(reverse("instrument-new"), data).status_code == 302
    page = text(client, "instruments")
    assert "overdue" in page
    again = client.post(reverse("instrument-new"), data).content.decode()
    assert "on record already" in again
    row = Instrument.objects.get()
    change = reverse("instrument-change", args=[row.uid])
    new = {**data, "calibration_due": "2099-01-01", "why": "Calibrated."}
    assert client.post(change, new).status_code == 302
    enter(client, Role.CURATOR)
    assert client.get(reverse("instrument-new")).status_code == 403


def test_who_may_not_see_an_object_may_not_see_its_account(client: Client, case: Place) -> None:
    face = shown(case)
    enter(client, Role.ATTENDANT, gallery=make_case())
    assert client.get(reverse("light-face", args=[face.uid])).status_code == 403
    assert client.get(reverse("light-object", args=[face.museum_object.uid])).status_code == 403
    assert client.get(reverse("light-csv", args=[face.uid])).status_code == 403


def test_the_object_page_of_light_names_the_face_with_the_least_left(
    client: Client, case: Place
) -> None:
    enter(client, Role.CONSERVATOR)
    face = shown(case)
    make_face(face.museum_object, label="verso", order=2)
    page = text(client, "light-object", face.museum_object.uid)
    assert "least left" in page
    assert "verso" in page


def test_a_forged_id_is_not_found(client: Client) -> None:
    enter(client, Role.CONSERVATOR)
    forged = make_meter().uid
    for name in ("light-face", "readings", "look-take", "look-answer", "timetable"):
        assert client.get(reverse(name, args=[forged])).status_code == 404


@pytest.mark.parametrize("number", [1, 3])
def test_the_light_page_asks_the_same_queries_for_one_face_and_for_three(
    client: Client, case: Place, number: int, django_assert_num_queries: Counted
) -> None:
    enter(client, Role.CONSERVATOR)
    for letter in "abc"[:number]:
        shown(case, letter)
    with django_assert_num_queries(57):
        client.get(reverse("light"))
