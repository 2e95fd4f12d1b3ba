"""A draft takes one face more, or leaves one out, and nothing that was answered is lost."""

from datetime import timedelta
from typing import Any

import pytest

from lifecycle.actions.condition.faces import choose_faces
from lifecycle.actions.condition.looking import put_face_picture
from lifecycle.actions.refusals import Refused
from lifecycle.process.stages import Role
from lifecycle.process.words import FeatureState, LightKind, ReportKind
from lifecycle.records.models import Face, Person
from lifecycle.records.models.condition import ConditionReport
from tests.builders.condition import make_finding, make_picture, make_signed, start_draft
from tests.builders.core import AT, make_face, make_object, make_person

pytestmark = pytest.mark.django_db
LATER = AT + timedelta(days=200)


@pytest.fixture
def marit() -> Person:
    return make_person(Role.CONSERVATOR, name="Marit Oldacre")


def listed(report: ConditionReport) -> list[tuple[int, str]]:
    rows = report.observations.filter(taken_back=False).order_by("feature__number")
    return [(row.feature.number, row.state) for row in rows]


def test_a_face_comes_with_its_known_features_and_takes_its_answers_along(marit: Person) -> None:
    diary = make_object()
    recto, verso = make_face(diary, order=1), make_face(diary, order=2)
    make_signed(diary, by=marit, findings=2)
    told: dict[str, Any] = {"by": marit, "role": Role.CONSERVATOR, "at": LATER}
    draft = start_draft(diary, by=marit, at=LATER, faces=[verso], kind=ReportKind.CALL_BACK)
    assert listed(draft) == []
    choose_faces(report=draft, faces=[recto, verso], **told)
    assert listed(draft) == [(1, "not_looked_at"), (2, "not_looked_at")]
    row = draft.observations.order_by("pk")[0]
    row.state = FeatureState.SAME
    row.keep(why="test", **told)
    choose_faces(report=draft, faces=[verso], **told)
    assert listed(draft) == []
    choose_faces(report=draft, faces=[recto, verso], **told)
    assert listed(draft) == [(1, "same"), (2, "not_looked_at")]
    make_finding(draft, verso, by=marit, at=LATER)
    with pytest.raises(Refused, match="F3 was found on") as refused:
        choose_faces(report=draft, faces=[recto], **told)
    assert refused.value.reasons[0].field == "faces"
    with pytest.raises(Refused, match="does not belong to"):
        choose_faces(report=draft, faces=[verso, make_face()], **told)
    with pytest.raises(Refused, match="at least one face"):
        choose_faces(report=draft, faces=[], **told)


def test_a_face_is_known_by_its_first_picture_in_diffuse_light(marit: Person) -> None:
    row = start_draft(by=marit).report_faces.select_related("face").get()
    raking, first, second = (
        make_picture(row.face, marit, light=light)
        for light in (LightKind.RAKING, LightKind.DIFFUSE, LightKind.DIFFUSE)
    )
    known = []
    for picture in (raking, first, second):
        put_face_picture(
            row=row, picture=picture, nothing_further=True, by=marit, role=Role.CONSERVATOR, at=AT
        )
        known.append(Face.objects.get(pk=row.face_id).thumbnail)
    assert known == [None, first, first]


def test_a_picture_laid_under_a_face_meanwhile_left_out_does_not_bring_it_back(
    marit: Person,
) -> None:
    diary = make_object()
    recto, verso = make_face(diary, order=1), make_face(diary, order=2)
    draft = start_draft(diary, by=marit, faces=[recto, verso])
    told: dict[str, Any] = {"by": marit, "role": Role.CONSERVATOR, "at": AT}
    as_the_page_read_it = draft.report_faces.get(face=verso)
    choose_faces(report=draft, faces=[recto], **told)

    put_face_picture(row=as_the_page_read_it, picture=None, nothing_further=True, **told)

    assert draft.report_faces.get(face=verso).dropped
