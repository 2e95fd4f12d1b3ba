"""Marks become selectors of the W3C model and come back as they were."""

from typing import Any
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lifecycle.science.selectors import (
    BadMark,
    BadSelector,
    Mark,
    ShapeKind,
    mark_from,
    mark_of,
    selector_of,
)
from lifecycle.science.shapes import crosses_itself
from tests.science.annotation_rules import broken_selector_rules

WIDTH, HEIGHT = 4000, 3000
SPOT = st.tuples(st.floats(0, WIDTH), st.floats(0, HEIGHT))


def drawn(kind: ShapeKind, *points: tuple[float, float]) -> Mark:
    return mark_of(kind, points, width=WIDTH, height=HEIGHT)


@st.composite
def marks(draw: st.DrawFn) -> Mark:
    kind = draw(st.sampled_from(ShapeKind))
    least, most = {"point": (1, 1), "box": (2, 2), "line": (2, 9), "outline": (3, 4)}[kind]
    points = draw(st.lists(SPOT, min_size=least, max_size=most))
    try:
        return mark_of(kind, points, width=WIDTH, height=HEIGHT)
    except BadMark:
        return drawn(ShapeKind.POINT, points[0])


@given(marks())
def test_a_mark_comes_back_from_its_selector_and_keeps_the_rules_of_the_model(mark: Mark) -> None:
    selector = selector_of(mark)
    assert broken_selector_rules(selector) == []
    assert mark_from(selector, width=WIDTH, height=HEIGHT) == mark


def test_each_shape_is_the_selector_one_would_expect() -> None:
    assert selector_of(drawn(ShapeKind.BOX, (400.4, 300), (100, 99.6))) == {
        "type": "FragmentSelector",
        "conformsTo": "http://www.w3.org/TR/media-frags/",
        "value": "xywh=pixel:100,100,300,200",
    }
    point = ElementTree.fromstring(selector_of(drawn(ShapeKind.POINT, (10.25, 20)))["value"])  # noqa: S314
    assert point.attrib["viewBox"] == "0 0 4000 3000"
    assert point[0].attrib == {"cx": "10.2", "cy": "20", "r": "4"}
    line = selector_of(drawn(ShapeKind.LINE, (1, 2), (3.5, 4)))["value"]
    assert '<polyline points="1,2 3.5,4"/>' in line
    outline = selector_of(drawn(ShapeKind.OUTLINE, (1, 2), (30, 4), (5, 60)))["value"]
    assert '<polygon points="1,2 30,4 5,60"/>' in outline


def test_double_taps_and_the_closing_corner_count_once() -> None:
    line = drawn(ShapeKind.LINE, (1, 1), (1.02, 1), (9, 9))
    assert line.points == ((1, 1), (9, 9))
    outline = drawn(ShapeKind.OUTLINE, (0, 0), (9, 0), (9, 9), (0, 0))
    assert len(outline.points) == 3
    assert not crosses_itself(outline.points)


def test_a_tiny_box_in_the_last_corner_is_one_pixel_on_the_picture() -> None:
    box = drawn(ShapeKind.BOX, (3999.9, 2999.8), (4000, 3000))
    assert box.frame == (3999, 2999, 1, 1)


@pytest.mark.parametrize(
    ("kind", "points", "said"),
    [
        (ShapeKind.POINT, [(1, 1), (2, 2)], "one place"),
        (ShapeKind.BOX, [(1, 1)], "two opposite corners"),
        (ShapeKind.BOX, [(1, 1), (1, 9)], "a width and a height"),
        (ShapeKind.LINE, [(1, 1), (1, 1)], "two points or more"),
        (ShapeKind.OUTLINE, [(1, 1), (2, 2)], "three corners"),
        (ShapeKind.OUTLINE, [(0, 0), (40, 40), (40, 0), (0, 40)], "crosses itself"),
        (ShapeKind.OUTLINE, [(0, 0), (40, 0), (80, 0)], "crosses itself"),
        (ShapeKind.POINT, [(4001, 1)], "on the picture"),
        (ShapeKind.POINT, [(float("nan"), 1)], "two numbers"),
        (ShapeKind.LINE, [(n % 7, n) for n in range(501)], "at most 500"),
    ],
)
def test_what_can_t_be_drawn_is_said_in_words(
    kind: ShapeKind, points: list[tuple[float, float]], said: str
) -> None:
    with pytest.raises(BadMark, match=said):
        mark_of(kind, points, width=WIDTH, height=HEIGHT)


@pytest.mark.parametrize(
    "selector",
    [
        {},
        {"type": "PointSelector", "x": 1, "y": 2},
        {"type": "FragmentSelector", "value": "xywh=percent:1.5,2,3,4"},
        {"type": "FragmentSelector", "value": "t=10,20"},
        {"type": "FragmentSelector", "value": "xywh=pixel:1,2,0,4"},
        {"type": "SvgSelector", "value": "<svg"},
        {"type": "SvgSelector", "value": "<!DOCTYPE svg [<!ENTITY a 'b'>]><svg/>"},
        {"type": "SvgSelector", "value": '<svg xmlns="http://www.w3.org/2000/svg"/>'},
        {"type": "SvgSelector", "value": '<svg xmlns="http://www.w3.org/2000/svg"><path/></svg>'},
        {
            "type": "SvgSelector",
            "value": '<svg xmlns="http://www.w3.org/2000/svg"><polygon points="1,2 3"/></svg>',
        },
        {"type": "SvgSelector", "value": 7},
    ],
)
def test_a_selector_of_another_making_is_refused_not_guessed(selector: dict[str, Any]) -> None:
    with pytest.raises(BadSelector):
        mark_from(selector, width=WIDTH, height=HEIGHT)


def test_the_number_s_line_ends_on_the_mark() -> None:
    assert drawn(ShapeKind.POINT, (7, 8)).at == (7, 8)
    assert drawn(ShapeKind.BOX, (0, 0), (10, 20)).at == (5, 10)
    assert drawn(ShapeKind.LINE, (0, 0), (10, 0), (10, 10)).at == (10, 0)
    assert drawn(ShapeKind.BOX, (0, 0), (10, 20)).percent((2000, 1500)) == (50, 50)
