"""Plane shapes on a picture: how long, how large, in which cell of the grid, where to point at.

Points are (x, y) in pixels of the picture as it is shown, x to the right and y down from its top
left corner. Lengths come out in pixels, areas in square pixels; millimetres are given by
``scale.py``. All functions are pure and take points in the order in which they were drawn.
"""

from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import hypot

Point = tuple[float, float]
#: Left, top, width and height.
Frame = tuple[float, float, float, float]

ROWS = "ABC"
COLUMNS = "123"


def path_length(points: Sequence[Point]) -> float:
    """Return the length of the path through the points, 0 for fewer than two."""
    return sum(hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(points))


def closed(points: Sequence[Point]) -> list[Point]:
    """Return the path that goes back from the last point to the first."""
    return [*points, *points[:1]]


def signed_area(points: Sequence[Point]) -> float:
    """Return the area inside a closed path, negative when it runs anticlockwise as seen.

    The shoelace formula (Gauss's area formula; mathematical common knowledge). Only for a path
    that does not cross itself is this the area one sees.
    """
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in _sides(points)) / 2


def area(points: Sequence[Point]) -> float:
    """Return the area inside a closed path that does not cross itself."""
    return abs(signed_area(points))


def _sides(points: Sequence[Point]) -> Iterator[tuple[Point, Point]]:
    yield from pairwise(closed(points))


def _turn(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _between(a: Point, b: Point, c: Point) -> bool:
    """Whether c, known to be in line with a and b, lies between them."""
    return min(a[0], b[0]) <= c[0] <= max(a[0], b[0]) and min(a[1], b[1]) <= c[1] <= max(a[1], b[1])


def sides_meet(a: Point, b: Point, c: Point, d: Point) -> bool:
    """Return whether the side a–b touches or crosses the side c–d."""
    one, two = _turn(a, b, c), _turn(a, b, d)
    three, four = _turn(c, d, a), _turn(c, d, b)
    if one * two < 0 and three * four < 0:
        return True
    return (
        (one == 0 and _between(a, b, c))
        or (two == 0 and _between(a, b, d))
        or (three == 0 and _between(c, d, a))
        or (four == 0 and _between(c, d, b))
    )


def crosses_itself(points: Sequence[Point]) -> bool:
    """Return whether a closed path crosses or touches itself, or doubles back on itself."""
    sides = list(_sides(points))
    count = len(sides)
    for i, (a, b) in enumerate(sides):
        c = sides[(i + 1) % count][1]
        if count > 2 and _turn(a, b, c) == 0 and _between(a, b, c) and c != a:
            return True  # the next side runs back over this one
        for j in range(i + 2, count):
            if not (i == 0 and j == count - 1) and sides_meet(a, b, *sides[j]):
                return True
    return False


def envelope(points: Sequence[Point]) -> Frame:
    """Return the smallest upright frame around the points.

    :raises ValueError: for no points
    """
    if not points:
        raise ValueError("A shape needs at least one point.")
    left, top = min(x for x, _ in points), min(y for _, y in points)
    right, bottom = max(x for x, _ in points), max(y for _, y in points)
    return left, top, right - left, bottom - top


def is_inside(point: Point, points: Sequence[Point]) -> bool:
    """Return whether a point lies inside a closed path (even-odd rule)."""
    x, y = point
    inside = False
    for (ax, ay), (bx, by) in _sides(points):
        if (ay > y) != (by > y) and x < (bx - ax) * (y - ay) / (by - ay) + ax:
            inside = not inside
    return inside


def halfway(points: Sequence[Point]) -> Point:
    """Return the point half way along a path.

    :raises ValueError: for no points
    """
    if not points:
        raise ValueError("A path needs at least one point.")
    left = path_length(points) / 2
    for a, b in pairwise(points):
        side = hypot(b[0] - a[0], b[1] - a[1])
        if side and left <= side:
            part = left / side
            return a[0] + (b[0] - a[0]) * part, a[1] + (b[1] - a[1]) * part
        left -= side
    return points[-1]


def middle(points: Sequence[Point]) -> Point:
    """Return a point of a closed shape to point at: its centre of area if that lies inside it,
    else half way along its edge, so that a line to a crescent does not end beside it.
    """
    whole = signed_area(points)
    if whole:
        x = sum((a[0] + b[0]) * (a[0] * b[1] - b[0] * a[1]) for a, b in _sides(points))
        y = sum((a[1] + b[1]) * (a[0] * b[1] - b[0] * a[1]) for a, b in _sides(points))
        centre = x / (6 * whole), y / (6 * whole)
        if is_inside(centre, points):
            return centre
    return halfway(closed(points))


def cell(point: Point, frame: Frame) -> str:
    """Return the cell of the 3 by 3 grid over a frame in which a point lies: A1 to C3.

    Rows A to C from the top, columns 1 to 3 from the left; a point outside the frame counts to
    the nearest cell. Our own convention, drawn on every picture.

    :raises ValueError: for a frame without an area
    """
    left, top, width, height = frame
    if width <= 0 or height <= 0:
        raise ValueError("The grid needs a frame with a width and a height.")
    column = min(2, max(0, int((point[0] - left) * 3 / width)))
    row = min(2, max(0, int((point[1] - top) * 3 / height)))
    return f"{ROWS[row]}{COLUMNS[column]}"


def cells(points: Sequence[Point], frame: Frame) -> tuple[str, str]:
    """Return the first and the last cell of the frame around the points: ``("A1", "B2")``."""
    left, top, width, height = envelope(points)
    return cell((left, top), frame), cell((left + width, top + height), frame)
