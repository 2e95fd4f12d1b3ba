"""Looking into pictures: parts by right, another light laid over, common points kept."""

import re
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from django.db import IntegrityError, transaction
from django.test import Client
from django.urls import reverse

from lifecycle.actions.picture_matches import match_pictures
from lifecycle.jobs import sweep
from lifecycle.pages.condition.report import numbered
from lifecycle.process.lights import SHOWS
from lifecycle.process.stages import Role
from lifecycle.process.words import LightKind
from lifecycle.queries.picture_matches import laid
from lifecycle.records.models import Face, MatchFit, Person, Picture, PictureMatch, Work
from tests.builders.condition import make_picture, picture_bytes
from tests.builders.core import AT, make_face, make_person
from tests.pages.signing_in import questions, visitor

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def store(settings: Any, tmp_path: Path) -> None:
    settings.MEDIA_ROOT = tmp_path


@pytest.fixture
def face() -> Face:
    return make_face()


@pytest.fixture
def marit() -> Person:
    return make_person(Role.CONSERVATOR)


def pictures(face: Face, by: Person) -> tuple[Picture, Picture]:
    """The same face in even and in UV light, the second half as large."""
    even = make_picture(face, by, light=LightKind.DIFFUSE, data=picture_bytes(400, 300))
    under = make_picture(
        face, by, light=LightKind.UV_FLUORESCENCE, data=picture_bytes(200, 150, colour="navy")
    )
    return even, under


def points(*pairs: tuple[float, float, float, float]) -> list[tuple[Any, Any]]:
    return [((a, b), (c, d)) for a, b, c, d in pairs]


def test_a_part_is_handed_out_to_whoever_may_see_the_object(face: Face, marit: Person) -> None:
    picture = make_picture(face, marit, data=picture_bytes(1700, 300))
    there = reverse("picture-part", args=[picture.uid, 0, 3, 0])
    look = reverse("picture-look", args=[picture.uid])
    client = visitor(person=marit)
    assert client.get(there).status_code == 404  # not made yet
    page = client.get(look).content.decode()
    assert "Finer parts of this picture are being made" in page
    assert "data-tiles" not in page  # nothing is asked for that is not there
    sweep.do_work(str(Work.objects.get().uid))
    answer = client.get(there)
    assert (answer.status_code, answer["Content-Type"]) == (200, "image/jpeg")
    assert "private" in answer["Cache-Control"]
    page = client.get(look).content.decode()
    assert "Finer parts" not in page
    assert f'data-tiles="{there.removesuffix("0/3-0/")}{{level}}/{{column}}-{{row}}/"' in page
    drawn = numbered(picture, [], "recto")  # as it stands in reports, under the findings
    assert f'data-tiles="{there.removesuffix("0/3-0/")}{{level}}/{{column}}-{{row}}/"' in drawn
    stranger = visitor(Role.PHOTOGRAPHER)
    assert stranger.get(there).status_code == stranger.get(look).status_code == 403
    assert Client().get(there).status_code == 302


def test_a_big_scan_says_that_it_is_being_made_ready(
    face: Face, marit: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("lifecycle.exchange.pictures.reading.AT_ONCE_PIXELS", 100)
    picture = make_picture(face, marit, data=picture_bytes(90, 60, "TIFF"))
    client = visitor(person=marit)
    screen = reverse("picture", kwargs={"uid": picture.uid, "size": "screen"})
    waiting = client.get(screen)
    assert (waiting["Content-Type"], waiting["Cache-Control"]) == ("image/svg+xml", "no-store")
    assert b"being made ready" in waiting.content
    original = client.get(reverse("picture", kwargs={"uid": picture.uid, "size": "original"}))
    assert (original["Content-Type"], len(original.content)) == ("image/tiff", picture.size_bytes)
    assert original["Content-Disposition"] == "inline; filename*=UTF-8''face.tif"
    sweep.do_work(str(Work.objects.get().uid))
    assert client.get(screen)["Content-Type"] == "image/jpeg"


def test_two_lights_are_laid_edge_upon_edge_until_points_are_marked(
    face: Face, marit: Person
) -> None:
    even, under = pictures(face, marit)
    client = visitor(person=marit)
    address = f"{reverse('picture-look', args=[even.uid])}?over={under.uid}"
    page = client.get(address).content.decode()
    assert "laid edge upon edge" in page
    assert 'transform="matrix(2 0 0 2 0 0)"' in page
    assert "UV lamp: Wear goggles rated for UV" in page
    assert SHOWS[LightKind.UV_FLUORESCENCE] in page
    match = reverse("picture-match", args=[even.uid, under.uid])
    assert "Wear goggles rated for UV" in client.get(match).content.decode()
    sent = {"fit": "similarity"}
    three = ((10, 10, 30, 20), (110, 10, 230, 20), (10, 90, 30, 183))
    for number, (ux, uy, lx, ly) in enumerate(three, 1):
        sent |= {f"upper_x{number}": str(ux), f"upper_y{number}": str(uy)}
        sent |= {f"lower_x{number}": str(lx), f"lower_y{number}": str(ly)}
    half = client.post(match, {**sent, "upper_y3": ""}).content.decode()
    assert "Mark this point here too, or clear it everywhere." in half
    assert 'value="183"' in half  # nothing typed is lost
    beside = client.post(match, {**sent, "lower_x2": "900"}).content.decode()
    assert "Point 2 lies beside the picture: 0 to 400 px here." in beside
    assert PictureMatch.objects.count() == 0
    assert client.post(match, sent).status_code == 302
    page = client.get(address).content.decode()
    said = re.search(r"on average they lie ([\d.]+) px", page)
    assert said is not None
    assert 0.5 < float(said[1]) < 3  # the third point was marked 3 px too low
    assert "laid edge upon edge" not in page
    assert "mm) apart" not in page
    even.ruler_x1 = even.ruler_y1 = even.ruler_y2 = Decimal(0)
    even.ruler_x2, even.ruler_mm = Decimal(400), Decimal(100)  # a quarter of a millimetre a pixel
    even.keep(by=marit, role=Role.CONSERVATOR, why="ruler marked", at=AT)
    with_ruler = laid(under, even)
    assert with_ruler.residual_mm == pytest.approx(float(said[1]) / 4, abs=0.02)
    assert "mm) apart" in client.get(address).content.decode()
    # Laid the other way round, the same points serve.
    forth, back = laid(under, even), laid(even, under)
    assert back.by.at(forth.by.at((60, 50))) == pytest.approx((60, 50), abs=1)
    assert back.match == forth.match


def test_a_page_asks_a_bounded_number_of_queries(face: Face, marit: Person) -> None:
    even, under = pictures(face, marit)
    for number in range(5):
        match_pictures(
            upper=under,
            lower=even,
            fit=MatchFit.SIMILARITY,
            points=points((0, 0, 0, number), (100, 100, 200, 200)),
            by=marit,
            role=Role.CONSERVATOR,
            at=AT,
        )
    client = visitor(person=marit)
    address = f"{reverse('picture-look', args=[even.uid])}?over={under.uid}"
    few = questions(client, address)
    for number in range(6):
        make_picture(face, marit, data=picture_bytes(50 + number, 40))
    assert questions(client, address) == few


def test_doors_of_other_faces_and_of_those_who_may_not_examine_are_shut(
    face: Face, marit: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    even, under = pictures(face, marit)
    stranger, curator = make_picture(make_face(), marit), make_person(Role.CURATOR)
    client = visitor(person=curator)
    assert client.get(reverse("picture-match", args=[even.uid, under.uid])).status_code == 403
    other = reverse("picture-match", args=[even.uid, stranger.uid])
    assert visitor(person=marit).get(other).status_code == 404
    look = reverse("picture-look", args=[even.uid])
    conservator = visitor(person=marit)
    for asked, status in ((stranger.uid, 404), ("nothing", 404), (even.uid, 404), (under.uid, 200)):
        assert conservator.get(f"{look}?over={asked}").status_code == status
    monkeypatch.setattr("lifecycle.queries.picture_matches.MOST", 0)  # one of long ago
    assert conservator.get(f"{look}?over={under.uid}").status_code == 200


def test_the_database_keeps_matches_of_two_pictures_with_points_on_them(
    face: Face, marit: Person
) -> None:
    even, under = pictures(face, marit)
    asked = {"fit": "similarity", "by": marit, "role": "conservator", "at": AT, "lower": even}
    for wrong in ({"upper": even}, {"upper": under, "fit": "bent"}):
        with pytest.raises(IntegrityError), transaction.atomic():
            PictureMatch(**{**asked, **wrong}).append()
    kept = PictureMatch(**asked, upper=under).append()
    place = {"upper_x": 1, "upper_y": 1, "lower_x": 1, "lower_y": 1}
    kept.points.model(match=kept, number=1, **place).append()
    for beside in ({"number": 1}, {"number": 2, "upper_x": -1}):
        with pytest.raises(IntegrityError), transaction.atomic():
            kept.points.model(match=kept, **{**place, **beside}).append()


def test_what_a_light_shows_is_common_practice() -> None:
    """Common practice: relief, folds, lifting edges; thickness, layers, repairs; weak folds."""
    raking, through = SHOWS[LightKind.RAKING], SHOWS[LightKind.TRANSMITTED]
    assert all(word in raking for word in ("relief", "folds", "lifting edges"))
    assert "weaken and split along folds" in raking
    assert all(word in through for word in ("thickness", "layers", "repairs"))
    assert set(SHOWS) == set(LightKind) - {LightKind.OTHER}
