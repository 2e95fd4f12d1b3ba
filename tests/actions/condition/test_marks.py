"""Marks and scale on a picture: kept as selectors, said in mm, undone, and frozen when signed."""

from dataclasses import replace
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import IntegrityError, connection, transaction
from django.test.utils import CaptureQueriesContext

from lifecycle.actions.condition.findings import Sight, answer_feature
from lifecycle.actions.condition.undoing import undo_finding
from lifecycle.actions.refusals import Conflict, Refused
from lifecycle.process.stages import Role
from lifecycle.process.words import FeatureState
from lifecycle.queries.earlier_marks import laid_right, lying_on
from lifecycle.queries.marks import Marked, marks_of
from lifecycle.queries.signed_text.registry import faults_of, kind_of, text_of
from lifecycle.records.models.condition import Observation
from lifecycle.records.models.picture_matches import MatchedPoint, MatchFit, PictureMatch
from lifecycle.science.selectors import ShapeKind, mark_of
from tests.builders.condition import (
    fill_draft,
    make_picture,
    picture_bytes,
    sign_as_author,
    start_draft,
    term,
)
from tests.builders.core import AT
from tests.builders.marking import LINE, Bench

pytestmark = pytest.mark.django_db


def of(seen: Observation, at: datetime | None = None) -> Marked:
    kept = Observation.objects.get(pk=seen.pk)
    found = marks_of([kept], at=at).of(kept)
    assert found is not None
    return found


def test_a_mark_is_kept_as_a_selector_of_its_picture_and_is_place_enough() -> None:
    seen = Bench().record()
    assert seen.selector is not None
    assert seen.selector["type"] == "SvgSelector"
    assert seen.zone == ""
    assert of(seen).mark == LINE
    assert of(seen).said.cells == "A1–B2"


def test_without_a_ruler_places_are_told_in_percent_and_no_size_is_claimed() -> None:
    bench = Bench()
    said = of(bench.record()).said
    assert said.where == (
        "10 % from left, 12.5 % from top; 40 % from left, 62.5 % from top, "
        "from the edges of the picture"
    )
    assert said.size == ""


def test_with_ruler_and_edges_the_same_mark_is_told_in_mm_from_the_edges_of_the_face() -> None:
    """By hand: 1,000 px are 200 mm; 500 px of line are 100 mm; the left edge lies at 50 px."""
    bench = Bench()
    seen = bench.record()
    bench.scale(edges=[(50, 40), (950, 760)])
    said = of(seen).said
    assert said.size == "100 mm long, rounded to 0.5 mm"
    assert said.where.startswith("10 mm from left, 12 mm from top; 70 mm from left, 92 mm from top")
    assert said.where.endswith("from the edges of the face")


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"mm": None}, "mm"),
        ({"ruler": []}, "ruler"),
        ({"mm": Decimal(0)}, "mm"),
        ({"ruler": [(5, 5), (5, 5)]}, "ruler"),
        ({"ruler": [(5, 5), (1001, 5)]}, "ruler"),
        ({"edges": [(900, 700), (100, 100)]}, "edges"),
        ({"edges": [(900, 700)]}, "edges"),
    ],
)
def test_half_a_scale_is_refused_beside_its_field(wrong: dict[str, Any], field: str) -> None:
    bench = Bench()
    with pytest.raises(Refused) as refused:
        bench.scale(**wrong)
    assert field in {reason.field for reason in refused.value.reasons}


def test_a_mark_needs_its_own_picture() -> None:
    bench = Bench()
    other = make_picture(Bench().row.face, bench.by)
    small = make_picture(bench.row.face, bench.by)
    for picture, text in ((None, "no picture"), (other, "another face"), (small, "another size")):
        with pytest.raises(Refused, match=text):
            bench.record(marked_on=picture)


def test_what_was_signed_keeps_the_scale_it_was_signed_with() -> None:
    bench = Bench()
    seen = bench.record()
    bench.scale()
    fill = bench.report
    fill_draft(fill, by=bench.by)
    seen_then = text_of(fill)
    signed = sign_as_author(fill, by=bench.by, at=AT + timedelta(minutes=5))
    assert "Mark on the picture: line in A1–B2" in seen_then
    assert (
        "Size of the mark: 100 millimetres long, rounded to 0.5 millimetres" in signed.signed_text
    )
    bench.picture.refresh_from_db()
    bench.picture.ruler_mm = Decimal(400)
    bench.picture.keep(**bench.said | {"at": AT + timedelta(hours=1)}, why="ruler was a long one")
    assert list(faults_of(signed, kind_of(signed))) == []
    assert of(seen).said.size_short == "200 mm"
    assert of(seen, signed.signed_at).said.size_short == "100 mm"


def test_undo_puts_back_what_was_and_undone_again_does_it_again() -> None:
    bench = Bench()
    seen = bench.record(note="short")
    moved = mark_of(ShapeKind.POINT, [(9, 9)], width=1000, height=800)
    sight = Sight(
        term=term("tear"),
        state=FeatureState.FIRST_RECORD,
        mark=moved,
        marked_on=bench.picture,
        note="long",
    )
    answer_feature(observation=seen, sight=sight, revision=1, **bench.said)
    back = undo_finding(observation=seen, revision=2, **bench.said)
    assert (back.note, of(back).mark, back.term) == ("short", LINE, term())
    assert back.feature.term == term()
    again = undo_finding(observation=seen, revision=3, **bench.said)
    assert (again.note, of(again).mark) == ("long", moved)
    with pytest.raises(Conflict, match="after you did"):
        undo_finding(observation=seen, revision=2, **bench.said)


def test_an_answer_that_says_nothing_of_the_place_leaves_the_mark_and_one_that_does_takes_it() -> (
    None
):
    bench = Bench()
    seen = bench.record()
    same = Sight(term=term(), state=FeatureState.FIRST_RECORD, note="read back from a sheet")
    answer_feature(observation=seen, sight=same, revision=1, **bench.said)
    assert of(seen).mark == LINE
    away = replace(same, unmarked=True)
    with pytest.raises(Refused, match="Say where it is"):
        answer_feature(observation=seen, sight=away, revision=2, **bench.said)
    answer_feature(observation=seen, sight=replace(away, zone="B2"), revision=2, **bench.said)
    seen.refresh_from_db()
    assert (seen.selector, seen.marked_on) == (None, None)


def test_undoing_a_first_record_takes_it_back_and_undoing_that_brings_it_again() -> None:
    bench = Bench()
    seen = bench.record()
    assert undo_finding(observation=seen, revision=1, **bench.said).taken_back
    assert not undo_finding(observation=seen, revision=2, **bench.said).taken_back


def test_a_mark_of_an_earlier_picture_lies_where_common_points_bring_it() -> None:
    """By hand: 0.4 of the size, 10 px to the right, 20 px down; without points half the size."""
    bench = Bench()
    seen = bench.record()
    marks = marks_of([seen])
    later = make_picture(bench.row.face, bench.by, data=picture_bytes(500, 400))
    found = marks.of(seen)
    assert found is not None
    edges = laid_right(found, later, lying_on(later, [seen], marks))
    assert edges.points == ((50, 50), (200, 250))
    match = PictureMatch(
        upper=bench.picture, lower=later, fit=MatchFit.SIMILARITY, by=bench.by,
        role=Role.CONSERVATOR, at=AT,
    ).append()  # fmt: skip
    for number, (x, p) in enumerate(((0, 10), (1000, 410)), start=1):
        MatchedPoint(
            match=match, number=number, upper_x=x, upper_y=0, lower_x=p, lower_y=20
        ).append()
    with CaptureQueriesContext(connection) as asked:
        maps = lying_on(later, [seen], marks)
    assert len(asked) == 2
    [one, other] = laid_right(found, later, maps).points
    assert one == pytest.approx((50, 60))
    assert other == pytest.approx((170, 220))
    assert lying_on(bench.picture, [seen], marks) == {}


def test_a_known_feature_nobody_answered_has_nothing_to_undo_and_keeps_its_mark() -> None:
    bench = Bench()
    bench.record()
    fill_draft(bench.report, by=bench.by)
    sign_as_author(bench.report, by=bench.by)
    later = start_draft(bench.report.museum_object, by=bench.by, at=AT + timedelta(days=1))
    known = later.observations.get()
    assert of(known).mark == LINE
    with pytest.raises(Refused, match="nothing to undo"):
        undo_finding(observation=known, revision=1, **bench.said)


def test_the_database_keeps_mark_and_picture_together_and_rulers_whole() -> None:
    bench = Bench()
    seen = bench.record()
    bench.scale()
    why = {**bench.said, "why": "trial"}
    for row, change in (
        (seen, {"marked_on": None}),
        (seen, {"selector": None}),
        (seen, {"box_left": 1, "box_top": 1, "box_width": 1, "box_height": 1}),
        (seen, {"selector": None, "marked_on": None, "box_left": 1}),
        (bench.picture, {"ruler_mm": None}),
        (bench.picture, {"ruler_mm": Decimal(0)}),
        (bench.picture, {"ruler_x1": 1000}),
        (bench.picture, {"edge_left": 5}),
        (
            bench.picture,
            {"edge_left": 5, "edge_top": 5, "edge_right": 5, "edge_bottom": 9},
        ),
    ):
        row.refresh_from_db()
        for name, value in change.items():
            setattr(row, name, value)
        with pytest.raises(IntegrityError), transaction.atomic():
            row.keep(**why)
