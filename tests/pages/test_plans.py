"""The plan of a gallery on its page, on the walk and on the reading sheet."""

from collections.abc import Callable
from contextlib import AbstractContextManager
from datetime import timedelta
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils.timezone import now

from lifecycle.papers.filling.reading_sheet import reading_sheet_words
from lifecycle.papers.printed import draw_print
from lifecycle.process.stages import Role
from lifecycle.queries.plans import plans_with
from lifecycle.queries.rights import museum_day
from lifecycle.records.models import PlacePlan, PlanSpot, ReadingPoint
from tests.builders.core import make_face, make_museum, make_person, make_place
from tests.builders.display import a_photo
from tests.builders.light import hang, make_case, make_point
from tests.builders.printing import printed
from tests.papers.reading import drawn_picture, page_texts

pytestmark = pytest.mark.django_db
Counted = Callable[[int], AbstractContextManager[Any]]


@pytest.fixture
def point(client: Client) -> ReadingPoint:
    """A point in a case with something up, seen by a conservator who is signed in."""
    make_museum()
    person = make_person(Role.CONSERVATOR, name="Marit Oldacre")
    assert person.account is not None
    client.force_login(person.account)
    case = make_case(name="N4")
    hang(make_face(), make_place(parent=case), opened_at=now() - timedelta(days=30))
    return make_point(case)


def test_a_plan_is_kept_points_are_put_on_it_and_it_stands_where_light_is_read(
    client: Client, point: ReadingPoint
) -> None:
    room = point.place.parent
    assert room is not None
    before = reading_sheet_words(room, now())
    assert (before.plans, before.plan_line[:13]) == ((), "No plan shows")
    new = reverse("plan-new", args=[room.uid])
    page = client.get(reverse("place", args=[room.uid])).content.decode()
    assert new in page
    assert "lettered-plan" not in page
    assert client.get(reverse("plan-points", args=[room.uid])).status_code == 404
    sent = SimpleUploadedFile("plan.png", a_photo().data, content_type="image/png")
    day = museum_day(now()).isoformat()
    answer = client.post(new, {"picture": sent, "drawn_by": "Bram Oduya", "drawn_on": day})
    put = reverse("plan-points", args=[room.uid])
    assert answer["Location"] == put
    form = client.get(put).content.decode()
    assert f'name="across_{point.pk}"' in form
    assert "data-plan" in form
    half = client.post(put, {f"across_{point.pk}": "25"}).content.decode()
    assert "Write both figures, or neither" in half
    assert 'value="25"' in half
    beside = client.post(put, {f"across_{point.pk}": "25", f"down_{point.pk}": "101"})
    assert "beside the plan" in beside.content.decode()
    assert not PlanSpot.objects.exists()
    two = {f"across_{point.pk}": "25,5", f"down_{point.pk}": "40"}
    assert client.post(put, two).status_code == 302
    for address in (
        reverse("place", args=[room.uid]),
        reverse("place", args=[point.place.uid]),
        reverse("readings-walk"),
    ):
        assert f'data-spot="{point.uid}"' in client.get(address).content.decode(), address
    walk = client.get(reverse("readings-walk")).content.decode()
    assert '<g class="spot next"' in walk
    assert "A, read next" in walk
    assert f'data-point="{point.uid}"' in walk


def test_the_reading_sheet_shows_the_plan_and_says_which_points_are_not_on_it(
    client: Client, point: ReadingPoint
) -> None:
    room = point.place.parent
    assert room is not None
    sent = SimpleUploadedFile("plan.png", a_photo().data, content_type="image/png")
    data = {"picture": sent, "drawn_by": "Bram Oduya", "drawn_on": museum_day(now()).isoformat()}
    client.post(reverse("plan-new", args=[room.uid]), data)
    client.post(
        reverse("plan-points", args=[room.uid]),
        {f"across_{point.pk}": "25", f"down_{point.pk}": "40"},
    )
    make_point(point.place, letter="B")
    marit = make_person(Role.CONSERVATOR)
    row = printed(room, marit, role=Role.CONSERVATOR, at=now())
    drawn = draw_print(row.paper, row.words, page_size="a4", pictures=drawn_picture)
    text = " ".join(" ".join(page_texts(drawn.pdf)).split())
    assert "plan 1, drawn by Bram Oduya" in text
    assert "Not on the plan, found by the words of their lines: N4 B" in text
    twin = client.get(reverse("print", args=[row.uid])).content.decode()
    assert "drawn by Bram Oduya" in twin
    assert PlacePlan.objects.count() == 1


@pytest.mark.parametrize("number", [1, 4])
def test_plans_take_one_question_however_many_points(
    client: Client, point: ReadingPoint, number: int, django_assert_num_queries: Counted
) -> None:
    room = point.place.parent
    assert room is not None
    points = [point, *(make_point(point.place, letter=f"B{n}") for n in range(1, number))]
    sent = SimpleUploadedFile("plan.png", a_photo().data, content_type="image/png")
    data = {"picture": sent, "drawn_by": "Bram Oduya", "drawn_on": museum_day(now()).isoformat()}
    client.post(reverse("plan-new", args=[room.uid]), data)
    spots = {f"{axis}_{one.pk}": "10" for one in points for axis in ("across", "down")}
    client.post(reverse("plan-points", args=[room.uid]), spots)
    with django_assert_num_queries(1):
        (plan,) = plans_with(points)
        assert len([spot.point.place.name for spot in plan.spots]) == number
        assert plan.plan.picture.width
