"""Gallery pages of light: readings, events, air, looks; dark, with big keys, without JavaScript."""

from datetime import UTC, datetime, timedelta
from decimal import Decimal

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils.timezone import now

from lifecycle.process.stages import Role
from lifecycle.process.words import Hazard, HazardEvidence
from lifecycle.records.models import (
    ClimateReading,
    LightEvent,
    LightReading,
    Look,
    LookAnswer,
    ObjectHazard,
    Place,
)
from lifecycle.records.models.pictures import Picture
from tests.builders.condition import picture_bytes
from tests.builders.core import (
    kept_by,
    make_museum,
)
from tests.builders.light import make_case, make_meter, make_point, read_light
from tests.pages.light_scene import enter, shown, text

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _museum() -> None:
    make_museum()


@pytest.fixture
def case() -> Place:
    return make_case(name="Case N2")


def moment(at: datetime | None = None) -> str:
    return (at or now() - timedelta(minutes=5)).astimezone(UTC).isoformat(timespec="minutes")


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


def test_a_volunteers_reading_at_a_case_counts_at_the_point_of_a_position_in_it(
    client: Client, case: Place
) -> None:
    """The task on Today names the case; its points lie at the positions."""
    enter(client, Role.ATTENDANT, gallery=case.parent)
    shown(case)
    position = case.children.get(name="a")
    meter, point = make_meter(), make_point(position)
    url = reverse("reading-take", args=[case.uid])
    page = client.get(url)
    assert page.context["form"].initial["point"] == point.pk  # the only one there
    assert page.content.decode().count("Needed for your reading to count.") == 2
    data = {"lux": "47", "point": point.pk, "instrument": meter.pk, "lamp_state": "show"}
    assert client.post(url, {**data, "read_at": moment()}).status_code == 302
    kept = LightReading.objects.get(lux=47)
    assert (kept.place, kept.point, kept.counts) == (position, point, True)


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
    enter(client, Role.CONSERVATOR)
    face = shown(case)
    sent = SimpleUploadedFile("look.jpg", b"not a picture", content_type="image/jpeg")
    response = client.post(
        reverse("look-take", args=[face.museum_object.uid]),
        {"looked_at": moment(), "seen": "as_picture", "picture": sent},
    )
    assert response.status_code == 200
    assert not Look.objects.exists()


def test_a_refused_look_leaves_no_picture(client: Client, case: Place) -> None:
    enter(client, Role.CONSERVATOR)
    face = shown(case)
    sent = SimpleUploadedFile("look.jpg", picture_bytes(), "image/jpeg")
    said = {"looked_at": moment(now() + timedelta(days=1)), "seen": "as_picture", "picture": sent}
    response = client.post(reverse("look-take", args=[face.museum_object.uid]), said)
    assert "The look lies in the future" in response.content.decode()
    assert not Picture.objects.exists()


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
