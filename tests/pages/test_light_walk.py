"""Readings of a walk on one page: point after point, kept together; points with a photograph."""

from datetime import timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils.timezone import now

from lifecycle.process.stages import Role
from lifecycle.queries.clock import museum_zone
from lifecycle.queries.light.points import points_in
from lifecycle.records.models import (
    LightReading,
    PaperKind,
    Place,
    Print,
    ReadingPoint,
)
from tests.builders.core import kept_by, make_face, make_museum, make_place
from tests.builders.display import a_photo
from tests.builders.light import hang, make_case, make_meter, make_point, read_light
from tests.pages.light_scene import Counted, enter

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _museum() -> None:
    make_museum()


def shown(name: str) -> tuple[Place, ReadingPoint]:
    """A case with one object, up for thirty days, and a point at its rail."""
    case = make_case(name=name)
    hang(make_face(), make_place(parent=case), opened_at=now() - timedelta(days=30))
    return case, make_point(case)


def moment(minutes: int = 5) -> str:
    return (now() - timedelta(minutes=minutes)).isoformat(timespec="minutes")


def test_a_trained_volunteer_reads_along_the_own_walk_and_an_odd_value_is_asked_once(
    client: Client,
) -> None:
    case, point = shown("Case N2")
    shown("Case S9")
    read_light(case, "48", now() - timedelta(days=29), point=point)
    gil = enter(client, Role.ATTENDANT, gallery=case)
    url = reverse("readings-walk")
    page = client.get(url).content.decode()
    assert 'data-theme="gallery"' in page
    assert 'data-draft="walk"' in page
    assert "Case N2, point A" in page
    assert "Case S9" not in page
    assert "hot and carry current" in page
    empty = client.post(url, {"lamp_state": "show", "read_at": moment()}).content.decode()
    assert "No value is entered" in empty
    meter = make_meter()
    data = {
        "instrument": meter.pk, "lamp_state": "show", "read_at": moment(), "lux_0": "480,5",
        "uv_0": "4",
    }  # fmt: skip
    odd = client.post(url, data).content.decode()
    assert "Look at the meter again" in odd
    assert 'type="checkbox" name="sure_0"' in odd
    assert 'value="480,5"' in odd
    assert LightReading.objects.count() == 1
    assert client.post(url, {**data, "sure_0": "on"}).status_code == 302
    kept = LightReading.objects.latest("pk")
    assert (kept.place, kept.point, kept.read_by, kept.suspicious, kept.counts) == (
        case, point, gil, True, True,
    )  # fmt: skip


def test_a_technician_posted_to_no_gallery_walks_every_case(client: Client) -> None:
    case, _ = shown("Case N2")
    shown("Case S9")
    url = reverse("round")
    enter(client, Role.TECHNICIAN)
    page = client.get(url).content.decode()
    assert "Case N2" in page
    assert "Case S9" in page
    enter(client, Role.TECHNICIAN, gallery=case)
    page = client.get(url).content.decode()
    assert "Case N2" in page
    assert "Case S9" not in page


def test_all_lines_are_kept_or_none_and_each_may_have_its_own_time(client: Client) -> None:
    shown("Case N1")
    shown("Case N2")
    enter(client, Role.CONSERVATOR)
    url = reverse("readings-walk")
    clock = (now() - timedelta(minutes=3)).astimezone(museum_zone())
    data = {
        "instrument": make_meter().pk, "lamp_state": "show", "read_at": moment(60),
        "lux_0": "48", "lux_1": "-1", "uv_1": "3", "time_0": clock.strftime("%H:%M"),
    }  # fmt: skip
    page = client.post(url, data).content.decode()
    assert "between 0 and" in page
    assert 'value="48"' in page
    assert not LightReading.objects.exists()
    lonely = client.post(url, {**data, "lux_1": ""}).content.decode()
    assert "Enter the lux that were read with it" in lonely
    assert client.post(url, {**data, "lux_1": "46"}).status_code == 302
    first, second = LightReading.objects.order_by("pk")
    assert first.read_at.astimezone(museum_zone()).strftime("%H:%M") == clock.strftime("%H:%M")
    assert first.read_at > second.read_at


def test_a_sheet_is_printed_and_typed_back_on_its_page(client: Client) -> None:
    case, point = shown("Case N2")
    marit = enter(client, Role.CONSERVATOR)
    meter = make_meter()
    url = reverse("print-new", args=["reading_sheet", case.uid])
    answer = client.post(url, {"copy_word": "to_sign"})
    assert answer.status_code == 302, answer.content.decode()
    row = Print.objects.get(paper=PaperKind.READING_SHEET)
    assert (
        reverse("reading-sheet-back", args=[row.uid])
        in client.get(reverse("print", args=[row.uid])).content.decode()
    )
    back = reverse("reading-sheet-back", args=[row.uid])
    assert "point A" in client.get(back).content.decode()
    data = {
        "instrument": meter.pk, "lamp_state": "show", "lux_0": "47", "observed_at": moment(0),
        "written_by_name": "Gil Farrow", "written_by": str(marit.uid),
        "no_scan_because": "kept in the folder",
    }  # fmt: skip
    wrong = client.post(back, {**data, "no_scan_because": ""}).content.decode()
    assert "Add a scan" in wrong
    assert not LightReading.objects.exists()
    assert client.post(back, data).status_code == 302
    assert LightReading.objects.get().point == point
    assert row.returns.get().written_by_name == "Gil Farrow"


def test_a_point_has_a_photograph_that_stands_where_light_is_read(client: Client) -> None:
    enter(client, Role.CONSERVATOR)
    case, point = shown("Case N2")
    url = reverse("point-photo", args=[point.uid])
    bad = SimpleUploadedFile("point.jpg", b"no picture", content_type="image/jpeg")
    assert client.post(url, {"photo": bad}).status_code == 200
    good = SimpleUploadedFile("point.png", a_photo().data, content_type="image/png")
    assert client.post(url, {"photo": good}).status_code == 302
    point.refresh_from_db()
    assert point.photo is not None
    seen = reverse("picture", args=[point.photo.sha256, "thumbnail"])
    for page in (reverse("place", args=[case.uid]), reverse("readings-walk")):
        assert seen in client.get(page).content.decode(), page
    assert client.get(seen).status_code == 200
    client.post(reverse("point-retire", args=[point.uid]), {"why": "The rail is gone."})
    good.seek(0)
    assert "is retired" in client.post(url, {"photo": good}).content.decode()


@pytest.mark.parametrize("number", [1, 3])
def test_the_points_of_a_walk_take_as_many_questions_for_one_case_as_for_three(
    number: int, django_assert_num_queries: Counted
) -> None:
    room = make_case().parent
    assert room is not None
    for n in range(number):
        case, _ = shown(f"Case {n}")
        case.parent = room
        case.keep(**kept_by(), fields=["parent"])
    with django_assert_num_queries(29):
        assert len(points_in(room, now())) == number
