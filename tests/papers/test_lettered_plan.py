"""A plan with its lettered points: every letter is legible, the next point is told by its form."""

from itertools import combinations

from hypothesis import given, settings
from hypothesis import strategies as st

from lifecycle.papers.drawing.lettered_plan import place_plates, plan_svg
from lifecycle.papers.words.parts import SpotWords

PERCENT = st.integers(0, 100).map(float)


def spots(*places: tuple[float, float]) -> list[SpotWords]:
    return [
        SpotWords(label=f"N{number}a", across=x, down=y, key=f"p{number}")
        for number, (x, y) in enumerate(places)
    ]


@settings(max_examples=40, deadline=None)
@given(st.lists(st.tuples(PERCENT, PERCENT), max_size=20))
def test_plates_stay_on_the_plan_and_cover_no_other_plate(
    places: list[tuple[float, float]],
) -> None:
    plates = place_plates(spots(*places), 1600, 1120, 20)
    assert [(plate.at_x, plate.at_y) for plate in plates] == [
        (x * 1600 / 100, y * 1120 / 100) for x, y in places
    ]
    for plate in plates:
        assert 0 <= plate.left <= 1600 - plate.width
        assert 0 <= plate.top <= 1120 - plate.height
    for one, other in combinations(plates, 2):
        assert not one.covers(other, 0)


def test_no_plate_covers_a_dot_in_a_row_of_points() -> None:
    row = spots(*((30 + 7 * number, 12) for number in range(6)))
    plates = place_plates(row, 1600, 1120, 34)
    dots = [(plate.at_x, plate.at_y) for plate in plates]
    assert not any(plate.covers_dot(*dot, 0) for plate in plates for dot in dots)


def test_only_the_point_that_is_next_is_marked_and_said() -> None:
    drawing = plan_svg(
        href="/p/", width=1600, height=1120, spots=spots((10, 10), (60, 60)), title="<N>",
        next_key="p1",
    )  # fmt: skip
    assert drawing.count('class="spot next"') == 1
    assert "<title>N1a, read next</title>" in drawing
    assert "&lt;N&gt;" in drawing
    assert 'viewBox="0 0 1600 1120"' in drawing


def test_the_part_around_a_point_at_the_edge_stays_on_the_plan() -> None:
    corner = spots((99, 1))
    drawing = plan_svg(href="/p/", width=1600, height=1000, spots=corner, title="N", around="p0")
    assert 'viewBox="960 0 640 400"' in drawing
