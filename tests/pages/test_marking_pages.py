"""Marks are typed and read without picture or pointer; the page asks a bounded number of rows."""

import json
from datetime import timedelta
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from lifecycle.process.stages import Role
from lifecycle.records.models import Vocabulary, Word
from lifecycle.records.models.condition import Observation
from lifecycle.science.selectors import ShapeKind, mark_of
from tests.builders.condition import (
    fill_draft,
    make_finding,
    picture_bytes,
    sign_as_author,
    start_draft,
    term,
)
from tests.builders.core import AT, make_museum
from tests.builders.marking import LINE, Bench
from tests.pages.signing_in import questions, visitor
from tests.science.annotation_rules import broken_collection_rules

pytestmark = pytest.mark.django_db
BY_ITSELF = {"X-Saved-By-Itself": "yes"}


class Desk(Bench):
    """The bench with its person signed in."""

    def __init__(self) -> None:
        super().__init__()
        make_museum()
        self.client: Client = visitor(person=self.by)

    def new(self, **values: Any) -> Any:
        said = {"face": self.row.uid, "term": term().uid, "version": 0, "zone": "", **values}
        address = reverse("condition-finding-new", args=[self.report.uid])
        return self.client.post(address, {"unit": "picture", **said})

    def change(self, seen: Observation, **values: Any) -> Any:
        seen.refresh_from_db()
        values = {
            "term": seen.term.uid, "state": seen.state, "version": seen.revision,
            "unit": "picture", **values,
        }  # fmt: skip
        headers = BY_ITSELF if values.pop("by_itself", False) else {}
        address = reverse("condition-finding", args=[seen.uid])
        return self.client.post(address, values, headers=headers)

    def faults(self, answer: Any) -> dict[str, list[str]]:
        return dict(answer.context["form"].errors)


def test_a_line_is_typed_in_mm_from_the_edges_and_read_back_in_words() -> None:
    desk = Desk()
    desk.scale(edges=[(50, 40), (950, 760)])
    assert desk.new(shape="line", places="10, 12\r\n70, 92", unit="mm").status_code == 302
    seen = desk.report.observations.get()
    assert seen.selector is not None
    assert seen.selector["value"].count("100,100 400,500") == 1
    page = desk.client.get(reverse("condition-report", args=[desk.report.uid])).content.decode()
    assert "Marked as line in A1–B2: 10 mm from left, 12 mm from top; 70 mm from left" in page
    assert "100 mm long, rounded to 0.5 mm" in page


@pytest.mark.parametrize(
    ("typed", "field", "said"),
    [
        ({"shape": "line", "places": ""}, "places", "Give the points"),
        ({"shape": "", "places": "1, 2"}, "shape", "Choose what these points are"),
        ({"shape": "line", "places": "1, 2\n3"}, "places", "Point 2, “3”, is not two numbers"),
        ({"shape": "line", "places": "1, 2\n300, 2"}, "places", "on the picture"),
        ({"shape": "point", "places": "70, 92", "unit": "mm"}, "places", "has no scale yet"),
        ({"shape": "point", "places": "90, 90", "zone": "A1"}, "zone", "lies in C3, not in A1"),
    ],
)
def test_what_can_t_be_a_mark_is_said_beside_its_field_and_stays_typed(
    typed: dict[str, str], field: str, said: str
) -> None:
    desk = Desk()
    answer = desk.new(**typed)
    assert said.lower() in " ".join(desk.faults(answer).get(field, [])).lower()
    assert answer.context["form"]["places"].value() == typed["places"]
    assert not desk.report.observations.exists()


def test_a_mark_nobody_touches_stays_on_the_picture_it_was_made_on() -> None:
    desk = Desk()
    desk.record()
    fill_draft(desk.report, by=desk.by)
    sign_as_author(desk.report, by=desk.by)
    later = start_draft(desk.report.museum_object, by=desk.by, at=AT + timedelta(days=1))
    fill_draft(later, by=desk.by, at=AT + timedelta(days=1))  # another picture, 90 by 60 px
    seen = later.observations.get()
    form = desk.client.get(reverse("condition-finding", args=[seen.uid])).context["form"]
    typed = {"shape": "line", "places": form["places"].value().replace("\n", "\r\n")}
    assert "right_here" in form.fields
    assert desk.change(seen, **typed, severity="1", state="same").status_code == 302
    seen.refresh_from_db()
    assert seen.marked_on == desk.picture
    assert desk.change(seen, **typed, state="same", right_here="on").status_code == 302
    seen.refresh_from_db()
    assert seen.marked_on == later.report_faces.get().picture
    address = reverse("condition-answers", args=[later.uid])
    row = {f"state-{seen.uid}": "worse", f"version-{seen.uid}": seen.revision}
    assert desk.client.post(address, row).status_code == 302
    before = seen.selector
    seen.refresh_from_db()
    assert (seen.state, seen.selector) == ("worse", before)


def test_points_set_on_the_picture_of_another_face_are_asked_about_once() -> None:
    desk = Desk()
    typed = {"shape": "point", "places": "50, 50", "drawn_on": "another"}
    asked = desk.new(**typed)
    assert "another picture" in " ".join(desk.faults(asked)["places"])
    again = asked.context["form"]["drawn_on"].value()
    assert again == str(desk.picture.uid)
    assert desk.new(**{**typed, "drawn_on": again}).status_code == 302


def test_each_field_is_saved_by_itself_or_says_why_not() -> None:
    desk = Desk()
    seen = desk.record()
    answer = desk.change(seen, note="long", shape="point", places="50, 50", by_itself=True)
    assert json.loads(answer.content) == {"version": 2}
    seen.refresh_from_db()
    assert (seen.note, seen.revision) == ("long", 2)
    wrong = desk.change(seen, shape="outline", places="1, 1", by_itself=True)
    assert wrong.status_code == 422
    assert "three corners" in json.loads(wrong.content)["said"]
    stale = desk.change(seen, version=1, shape="point", places="50, 50", by_itself=True)
    assert stale.status_code == 409
    assert "while you were writing" in json.loads(stale.content)["said"]


def test_the_last_change_is_undone_by_a_button() -> None:
    desk = Desk()
    seen = desk.record()
    undo = reverse("condition-finding-undo", args=[seen.uid])
    assert desk.client.post(undo, {"version": "1"}).status_code == 302
    seen.refresh_from_db()
    assert seen.taken_back
    for version in ("1", "", "²", "9" * 30):  # of a page that was open before, or of none of ours
        assert desk.client.post(undo, {"version": version}).status_code == 302
    seen.refresh_from_db()
    assert seen.taken_back


def test_a_scale_is_marked_by_numbers_and_half_of_one_is_refused() -> None:
    desk = Desk()
    address = reverse("condition-scale", args=[desk.row.uid])
    half = desk.client.post(address, {"ruler": "10, 90\n60, 90", "mm": "", "edges": ""})
    assert "both" in " ".join(desk.faults(half)["mm"])
    odd = desk.client.post(address, {"ruler": "10, 90\nhere", "mm": "5", "edges": ""})
    assert "is not two numbers" in " ".join(desk.faults(odd)["ruler"])
    whole = {"ruler": "10, 90\n60, 90", "mm": "200", "edges": "5, 5\n95, 95"}
    assert desk.client.post(address, whole).status_code == 302
    form = desk.client.get(address).context["form"]
    assert form["ruler"].value() == whole["ruler"]
    assert form["edges"].value() == whole["edges"]


def test_marks_are_taken_out_as_web_annotations_of_the_picture() -> None:
    desk = Desk()
    desk.record()
    answer = desk.client.get(reverse("condition-annotations", args=[desk.report.uid]))
    assert answer["Content-Type"].startswith("application/ld+json")
    found = json.loads(answer.content)
    assert broken_collection_rules(found) == []
    [item] = found["first"]["items"]
    assert str(desk.picture.uid) in item["target"]["source"]["id"]


def test_the_page_asks_as_many_rows_for_many_marks_as_for_few() -> None:
    desk = Desk()
    desk.scale()
    address = reverse("condition-report", args=[desk.report.uid])
    desk.record(LINE)
    make_finding(desk.report, desk.row.face, by=desk.by)
    few = questions(desk.client, address)
    for number in range(12):
        spot = mark_of(ShapeKind.POINT, [(number * 50 + 1, 30)], width=1000, height=800)
        desk.record(spot)
    assert questions(desk.client, address) == few
    fill_draft(desk.report, by=desk.by)
    sign_as_author(desk.report, by=desk.by)
    assert questions(desk.client, address) <= few + 3  # the rulers as they stood when it was signed


def test_who_may_not_examine_may_not_mark() -> None:
    desk = Desk()
    seen = desk.record()
    other = visitor(Role.CURATOR)
    assert other.post(reverse("condition-finding-undo", args=[seen.uid]), {}).status_code == 403
    assert other.get(reverse("condition-scale", args=[desk.row.uid])).status_code == 403


def test_one_finding_leads_to_the_next_on_the_same_face_in_the_same_light() -> None:
    desk = Desk()
    raking = desk.report.lights_used.create(number=1, light="raking", direction_clock=9)
    sent = desk.new(shape="point", places="50, 50", seen_in=raking.uid, again="yes")
    assert sent.status_code == 302
    following = desk.client.get(sent.url)
    form = following.context["form"]
    assert form["face"].value() == desk.row.uid
    assert form["seen_in"].value() == raking.uid
    assert "F1 is recorded" in following.content.decode()
    raking.taken_back = True
    raking.save()
    assert desk.client.get(sent.url).context["form"]["seen_in"].value() is None


def test_the_terms_of_the_object_s_own_kind_come_first() -> None:
    desk = Desk()
    for group in ("sheet", "instrument", "map"):
        Word.objects.create(
            vocabulary=Vocabulary.CONDITION_TERM,
            code=f"of-{group}",
            label=f"of {group}",
            group=group,
        )
    kind = desk.report.museum_object.object_type
    kind.code = "map"
    kind.save()
    page = desk.client.get(reverse("condition-finding-new", args=[desk.report.uid]))
    groups = [group for group, *_ in page.context["form"].fields["term"].widget.choices]
    assert groups.index("map") < groups.index("sheet") < groups.index("instrument")


def test_a_picture_in_another_light_stands_beside_the_one_that_is_marked_on() -> None:
    desk = Desk()
    before = desk.row.picture
    assert before is not None
    address = reverse("condition-face", args=[desk.row.uid])
    sent = {"light": "raking", "kept": str(before.uid), "beside": "on"}
    raking = SimpleUploadedFile("raking.png", picture_bytes(64, 48, "PNG"), "image/png")
    assert desk.client.post(address, {**sent, "picture": raking}).status_code == 302
    desk.row.refresh_from_db()
    assert desk.row.picture == before
    assert desk.row.face.pictures.get(light="raking") != before
    other = SimpleUploadedFile("other.png", picture_bytes(60, 44, "PNG"), "image/png")
    desk.client.post(address, {"light": "diffuse", "kept": str(before.uid), "picture": other})
    desk.row.refresh_from_db()
    assert desk.row.picture != before
