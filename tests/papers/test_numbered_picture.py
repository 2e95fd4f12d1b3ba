"""The numbered picture: every feature has its number, no number covers another, words are safe."""

from itertools import combinations
from math import hypot
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lifecycle.papers.drawing.numbered_picture import (
    WHOLE,
    ZONES,
    UnknownZone,
    as_svg,
    badge_radius,
    mark_in_zone,
    place_badges,
    zone_box,
)
from lifecycle.papers.drawing.qr import QUIET, squares
from lifecycle.papers.words.parts import MarkWords
from lifecycle.records.models.condition.words import Zone
from lifecycle.science.shapes import cell


def test_the_grid_is_that_of_the_condition_record() -> None:
    """Rows A to C from the top, columns 1 to 3 from the left, as the record's own labels say."""
    assert list(ZONES) == list(Zone.values)
    for zone in Zone:
        left, top, _, _ = zone_box(zone.value)
        words = zone.label.split(" ", 1)[1]
        assert (top < 1) == ("top" in words)
        assert (top > 60) == ("bottom" in words)
        assert (left < 1) == ("left" in words)
        assert (left > 60) == ("right" in words)


@pytest.mark.parametrize("zone", ZONES)
def test_the_middle_of_a_zone_lies_in_it(zone: str) -> None:
    left, top, width, height = zone_box(zone.lower())

    assert cell((left + width / 2, top + height / 2), WHOLE) == zone


@pytest.mark.parametrize("zone", ["", "D1", "A4", "AA", "A1 "])
def test_an_unknown_zone_is_an_error_and_a_blank_is_forgiven(zone: str) -> None:
    if zone.strip() in ZONES:
        assert zone_box(zone) == zone_box("A1")
    else:
        with pytest.raises(UnknownZone, match="A1 to C3"):
            zone_box(zone)


MARK = st.builds(
    lambda x, y: (x, y), st.floats(0, 100, allow_nan=False), st.floats(0, 100, allow_nan=False)
)


@given(st.lists(MARK, max_size=60))
def test_sixty_numbers_find_a_place_each_inside_the_picture(
    places: list[tuple[float, float]],
) -> None:
    marks = [MarkWords(number=n, x=x, y=y) for n, (x, y) in enumerate(places, start=1)]

    badges = place_badges(marks, 500, 350, 9)

    assert [badge.number for badge in badges] == [mark.number for mark in marks]
    for badge in badges:
        assert 9 <= badge.x <= 491
        assert 9 <= badge.y <= 341
    for one, other in combinations(badges, 2):
        assert hypot(one.x - other.x, one.y - other.y) >= 18


def test_sixty_features_known_by_one_zone_alone_stay_apart() -> None:
    badges = place_badges([mark_in_zone(n, "B2") for n in range(1, 61)], 500, 350, 9)

    for one, other in combinations(badges, 2):
        assert hypot(one.x - other.x, one.y - other.y) >= 18


def test_the_svg_is_well_formed_names_the_picture_and_escapes_its_words() -> None:
    marks = (
        MarkWords(number=7, x=20, y=30),
        MarkWords(number=8, x=40, y=50, width=10, height=5),
        mark_in_zone(9, "C3"),
    )

    text = as_svg(
        href="/p?a=1&b=2", width=900, height=640, marks=marks, title='<b>"front"</b> & back'
    )

    root = ElementTree.fromstring(text)  # noqa: S314 - our own drawing
    assert root.attrib["aria-label"] == '<b>"front"</b> & back'
    titles = [element.text for element in root.iter("{http://www.w3.org/2000/svg}title")]
    assert titles[1:] == ["F7", "F8", "F9"]
    assert len(list(root.iter("{http://www.w3.org/2000/svg}rect"))) == 2


LINE = MarkWords(number=1, x=10, y=10, width=20, height=40, path=((10, 10), (30, 50)), at=(20, 30))
OUTLINE = MarkWords(
    number=2, x=60, y=60, width=20, height=20, path=((60, 60), (80, 60), (80, 80)), closed=True,
    at=(73, 67), earlier=True,
)  # fmt: skip


def test_lines_and_outlines_are_drawn_as_they_run_and_numbered_on_their_path() -> None:
    text = as_svg(href="/p", width=1000, height=500, marks=(LINE, OUTLINE), title="front")

    root = ElementTree.fromstring(text)  # noqa: S314 - our own drawing
    assert '<polyline points="100.0,50.0 300.0,250.0"' in text
    assert '<polygon points="600.0,300.0 800.0,300.0 800.0,400.0"' in text
    dashed = [one for one in root.iter() if "stroke-dasharray" in one.attrib]
    assert [one.tag.rpartition("}")[2] for one in dashed] == ["polygon"]  # made on an earlier one
    first, second = place_badges((LINE, OUTLINE), 1000, 500, 9)
    assert (first.at_x, first.at_y) == (200, 150)
    assert (second.at_x, second.at_y) == (730, 335)


def test_the_grid_lies_over_the_face_where_its_edges_are_marked() -> None:
    grid = (10.0, 20.0, 60.0, 60.0)
    assert zone_box("B2", grid) == (30, 40, 20, 20)
    assert mark_in_zone(3, "C3", grid).centre == (60, 70)
    text = as_svg(href="/p", width=1000, height=1000, marks=(), title="front", grid=grid)
    assert "M300.0 200.0V800.0M100.0 400.0H700.0" in text
    assert "M100.0 200.0H700.0V800.0H100.0Z" in text


def test_three_hundred_numbers_get_smaller_and_still_stay_apart() -> None:
    marks = [MarkWords(number=n, x=n % 20 * 5, y=n // 20 * 6.5) for n in range(1, 301)]
    radius = badge_radius(1000, 800, len(marks))
    assert radius < badge_radius(1000, 800, 1) / 2
    for one, other in combinations(place_badges(marks, 1000, 800, radius), 2):
        assert hypot(one.x - other.x, one.y - other.y) >= 2 * radius


def test_a_qr_code_has_its_quiet_zone_and_three_finders() -> None:
    """ISO/IEC 18004: four quiet squares; a finder of 7 by 7 in three corners."""
    count, runs = squares("http://127.0.0.1:8000/p/K7Q2MXD/")

    assert min(column for column, _, _ in runs) == min(row for _, row, _ in runs) == QUIET
    assert max(column + length for column, _, length in runs) == count - QUIET
    first_row = sorted((column, length) for column, row, length in runs if row == QUIET)
    assert (QUIET, 7) in first_row
    assert (count - QUIET - 7, 7) in first_row
