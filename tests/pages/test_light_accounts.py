"""Pages of light accounts, lit hours and instruments, without JavaScript."""

from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils.timezone import now

from lifecycle.process.stages import Role
from lifecycle.records.models import (
    Instrument,
    LightEntry,
    LitException,
    LitSpan,
    LitTimetable,
    Place,
)
from tests.builders.core import (
    kept_by,
    make_face,
    make_museum,
)
from tests.builders.light import make_case, make_meter
from tests.pages.light_scene import Counted, enter, shown, text

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _museum() -> None:
    make_museum()


@pytest.fixture
def case() -> Place:
    return make_case(name="Case N2")


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
    lines = response.content.decode("utf-8-sig").splitlines()
    assert lines[0].startswith("object,face,kind")
    assert "'=1+1" in lines[1]


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
    with django_assert_num_queries(56):
        client.get(reverse("light"))
