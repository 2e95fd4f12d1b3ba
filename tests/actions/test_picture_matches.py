"""Common points of two pictures: kept by those who may examine, refused where they say nothing."""

from pathlib import Path
from typing import Any

import pytest

from lifecycle.actions.picture_matches import match_pictures
from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.process.stages import Role
from lifecycle.records.models import MatchFit, PictureMatch
from tests.builders.condition import make_picture, picture_bytes
from tests.builders.core import AT, make_face, make_person

pytestmark = pytest.mark.django_db


def points(*pairs: tuple[float, float, float, float]) -> list[tuple[Any, Any]]:
    return [((a, b), (c, d)) for a, b, c, d in pairs]


def test_who_may_not_examine_and_points_that_say_nothing_are_refused(
    settings: Any, tmp_path: Path
) -> None:
    settings.MEDIA_ROOT = tmp_path
    face, marit = make_face(), make_person(Role.CONSERVATOR)
    even = make_picture(face, marit, data=picture_bytes(400, 300))
    under = make_picture(face, marit, data=picture_bytes(200, 150))
    stranger = make_picture(make_face(), marit)
    good = points((0, 0, 0, 0), (100, 100, 200, 200))

    def match(**other: Any) -> None:
        asked = {
            "upper": under,
            "lower": even,
            "fit": MatchFit.SIMILARITY,
            "points": good,
            "by": marit,
            "role": Role.CONSERVATOR,
            "at": AT,
        }
        match_pictures(**{**asked, **other})

    curator = make_person(Role.CURATOR)
    with pytest.raises(NotAllowed):
        match(by=curator, role=Role.CURATOR)
    for wrong, said in (
        ({"upper": stranger}, "same face"),
        ({"upper": even}, "over itself"),
        ({"points": good[:1]}, "2 to 4 points"),
        ({"points": good * 3}, "2 to 4 points"),
        ({"fit": MatchFit.AFFINE}, "3 to 4 points"),
        ({"points": [good[0], good[0]]}, "in one place"),
    ):
        with pytest.raises(Refused, match=said):
            match(**wrong)
    assert PictureMatch.objects.count() == 0
    match()
    match(fit=MatchFit.AFFINE, points=[*good, ((10, 140), (20, 281))])
    assert [kept.points.count() for kept in PictureMatch.objects.order_by("pk")] == [2, 3]
