"""A report's findings as Web Annotations keep the model's own rules and say where each one is."""

import json
from typing import Any

import pytest

from lifecycle.actions.condition.findings import Sight, add_finding
from lifecycle.exchange.annotations import collection
from lifecycle.process.words import FeatureState
from lifecycle.queries.marks import marks_of
from lifecycle.science.selectors import ShapeKind, mark_from, mark_of
from tests.builders.condition import make_finding, term
from tests.builders.marking import LINE, Bench
from tests.science.annotation_rules import broken_collection_rules

pytestmark = pytest.mark.django_db


def taken_out(bench: Bench) -> dict[str, Any]:
    rows = list(
        bench.report.observations.select_related(
            "feature__face", "term", "marked_on", "written_by"
        ).order_by("feature__number")
    )
    found = collection(
        bench.report,
        rows,
        marks_of(rows),
        pictures={bench.row.face_id: bench.picture},
        address=lambda picture: f"https://museum.example/pictures/{picture.uid}",
    )
    again: dict[str, Any] = json.loads(json.dumps(found))
    return again


def test_every_kind_of_mark_and_none_at_all_keeps_the_rules_and_comes_back() -> None:
    bench = Bench()
    bench.scale()
    marks = [
        mark_of(kind, points, width=1000, height=800)
        for kind, points in (
            (ShapeKind.POINT, [(1.5, 2)]),
            (ShapeKind.BOX, [(10, 20), (30, 40)]),
            (ShapeKind.OUTLINE, [(10, 20), (30.5, 40), (10, 60)]),
        )
    ]
    for mark in (LINE, *marks):
        bench.record(mark)
    make_finding(bench.report, bench.row.face, by=bench.by, box=None)  # a zone alone
    found = taken_out(bench)

    assert broken_collection_rules(found) == []
    items = found["first"]["items"]
    assert found["total"] == len(items) == 5
    back = [mark_from(item["target"]["selector"], width=1000, height=800) for item in items[:4]]
    assert back == [LINE, *marks]
    assert "100 mm long, rounded to 0.5 mm" in items[0]["body"][1]["value"]
    assert items[4]["target"]["type"] == "Image"  # no mark: the whole picture
    assert "zone C2 bottom centre" in items[4]["body"][1]["value"]


def test_a_face_without_a_picture_is_named_itself() -> None:
    bench = Bench()
    sight = Sight(term=term(), state=FeatureState.FIRST_RECORD, clock_position=4)
    add_finding(report=bench.report, face=bench.row.face, sight=sight, **bench.said)
    rows = list(bench.report.observations.select_related("feature__face", "term", "written_by"))
    found = collection(
        bench.report, rows, marks_of(rows), pictures={}, address=lambda picture: picture.name
    )
    assert broken_collection_rules(found) == []
    assert found["first"]["items"][0]["target"] == f"urn:uuid:{bench.row.face.uid}"


@pytest.mark.parametrize(
    ("wrong", "rule"),
    [
        ({"@context": "http://www.w3.org/ns/anno"}, "5.1"),
        ({"first": {"id": "urn:x:1", "type": "AnnotationPage"}}, "5.2"),
        ({"total": 9}, "5.1"),
    ],
)
def test_the_rules_find_what_is_wrong(wrong: dict[str, Any], rule: str) -> None:
    bench = Bench()
    bench.record()
    broken = broken_collection_rules({**taken_out(bench), **wrong})
    assert any(said.startswith(rule) for said in broken)
    item = taken_out(bench)["first"]["items"][0]
    for name in ("id", "target", "type"):
        without = {key: value for key, value in item.items() if key != name}
        page = {"id": "urn:x:1", "type": "AnnotationPage", "items": [without]}
        assert broken_collection_rules({**taken_out(bench), "first": page})
