"""A face's picture with its 3 by 3 grid and numbered features, for screens and for paper.

Places are per cent of the picture from its top left corner. The grid names rows A to C from top
to bottom and columns 1 to 3 from left to right, as the face is displayed (our convention; the
condition record stores the same names); where the edges of the face are marked it lies over the
face, not over the margin of the picture. Nothing is said by colour: a feature is a number in a
ring, joined by a thin line to its point, box, line, outline, or the zone it is known by. What was
marked on an earlier picture is dashed: here it lies only about.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from html import escape
from math import cos, hypot, pi, sin, sqrt

from lifecycle.papers.drawing.laid_over import Finer
from lifecycle.papers.words.parts import MarkWords
from lifecycle.science.shapes import COLUMNS, ROWS, Frame

ZONES = tuple(f"{row}{column}" for row in ROWS for column in COLUMNS)
#: Turns tried around a feature for a free place of its number, nearest first.
TURNS = 16
RINGS = 40
#: Two numbers stand at least this many radii apart.
APART = 2.15
#: From so many numbers on they get smaller, or they would hide the picture.
MANY = 60
WHOLE: Frame = (0, 0, 100, 100)


class UnknownZone(ValueError):
    """A zone that is not one of A1 to C3."""


@dataclass(frozen=True, slots=True)
class Badge:
    """Where a number stands (x, y) and the place on the object it belongs to (at_x, at_y)."""

    number: int
    x: float
    y: float
    at_x: float
    at_y: float


def zone_box(zone: str, grid: Frame | None = None) -> Frame:
    """Left, top, width and height of a zone in per cent of the picture. Errors: UnknownZone."""
    name = zone.strip().upper()
    if name not in ZONES:
        raise UnknownZone(f"“{zone}” is not a zone of the grid: use A1 to C3.")
    left, top, width, height = grid or WHOLE
    wide, high = width / 3, height / 3
    return left + COLUMNS.index(name[1]) * wide, top + ROWS.index(name[0]) * high, wide, high


def mark_in_zone(number: int, zone: str, grid: Frame | None = None) -> MarkWords:
    """A feature of which only the zone is known."""
    x, y, width, height = zone_box(zone, grid)
    return MarkWords(number=number, x=x, y=y, width=width, height=height, by_zone=True)


def place_badges(
    marks: Sequence[MarkWords], width: float, height: float, radius: float
) -> list[Badge]:
    """Give every number a place beside its feature where it covers no other number.

    Width, height and radius share one unit. Numbers stay inside the picture; when it is so full
    that no free place is left, a number stands on its own feature.
    """
    placed: list[Badge] = []
    taken = _Taken(APART * radius)
    for mark in sorted(marks, key=lambda one: one.number):
        at_x, at_y = mark.centre[0] * width / 100, mark.centre[1] * height / 100
        x, y = next(
            (
                spot
                for spot in _spots(mark, at_x, at_y, radius)
                if radius <= spot[0] <= width - radius
                and radius <= spot[1] <= height - radius
                and taken.is_free(*spot)
            ),
            (at_x, at_y),
        )
        taken.take(x, y)
        placed.append(Badge(mark.number, x, y, at_x, at_y))
    return placed


class _Taken:
    """Places that are taken, in squares of one distance, so that only neighbours are measured."""

    def __init__(self, apart: float) -> None:
        self._apart = apart
        self._squares: dict[tuple[int, int], list[tuple[float, float]]] = {}

    def take(self, x: float, y: float) -> None:
        self._squares.setdefault(self._square(x, y), []).append((x, y))

    def is_free(self, x: float, y: float) -> bool:
        column, row = self._square(x, y)
        for i in (column, column - 1, column + 1):
            for j in (row, row - 1, row + 1):
                for a, b in self._squares.get((i, j), ()):
                    if hypot(x - a, y - b) < self._apart:
                        return False
        return True

    def _square(self, x: float, y: float) -> tuple[int, int]:
        return int(x // self._apart), int(y // self._apart)


def badge_radius(width: float, height: float, count: int) -> float:
    """The radius of a number on a screen picture of this size that has so many of them."""
    return max(width, height) * 0.021 * min(1, sqrt(MANY / max(count, 1)))


def _spots(mark: MarkWords, x: float, y: float, radius: float) -> Iterable[tuple[float, float]]:
    if mark.by_zone:
        yield x, y
    for ring in range(RINGS):
        away = radius * (2.0 + 0.6 * ring)
        for turn in range(TURNS):
            angle = -pi / 4 + turn * 2 * pi / TURNS
            yield x + away * cos(angle), y + away * sin(angle)


def as_svg(
    *,
    href: str,
    width: int,
    height: int,
    marks: Sequence[MarkWords],
    title: str,
    show_grid: bool = True,
    grid: Frame | None = None,
    finer: Finer | None = None,
) -> str:
    """The picture as an SVG element that scales with its column; `title` says what it shows.

    `grid` is the face in the picture in per cent, without it the whole picture; `finer` says where
    the viewer finds finer parts of a big one.
    """
    radius = badge_radius(width, height, len(marks))
    parts = [
        f'<svg class="numbered-picture" viewBox="0 0 {width} {height}" role="img" '
        f'aria-label="{escape(title)}" xmlns="http://www.w3.org/2000/svg">',
        f"<title>{escape(title)}</title>",
        f'<image href="{escape(href)}" width="{width}" height="{height}"{finer or ""}/>',
    ]
    if show_grid:
        parts += _svg_grid(width, height, max(width, height) * 0.021, grid or WHOLE)
    parts += [_svg_outline(mark, width, height, radius) for mark in marks]
    badges = place_badges(marks, width, height, radius)
    parts += [_svg_leader(badge, radius) for badge in badges]
    parts += [_svg_badge(badge, radius) for badge in badges]
    return "".join([*parts, "</svg>"])


def _svg_grid(width: int, height: int, radius: float, grid: Frame) -> list[str]:
    left, right = grid[0] * width / 100, (grid[0] + grid[2]) * width / 100
    top, bottom = grid[1] * height / 100, (grid[1] + grid[3]) * height / 100
    lines = []
    for third in (1, 2):
        x, y = left + (right - left) * third / 3, top + (bottom - top) * third / 3
        lines.append(f"M{x:.1f} {top:.1f}V{bottom:.1f}M{left:.1f} {y:.1f}H{right:.1f}")
    if grid != WHOLE:
        lines.append(f"M{left:.1f} {top:.1f}H{right:.1f}V{bottom:.1f}H{left:.1f}Z")
    thin = radius * 0.09
    path = "".join(lines)
    names = []
    for zone in ZONES:
        x, y, _, _ = zone_box(zone, grid)
        names.append(
            f'<text class="zone-name" x="{x * width / 100 + radius * 0.4:.1f}" '
            f'y="{y * height / 100 + radius * 1.15:.1f}" font-size="{radius * 0.95:.1f}" '
            f'paint-order="stroke" stroke="#fff" stroke-width="{radius * 0.3:.1f}">{zone}</text>'
        )
    return [
        f'<path d="{path}" fill="none" stroke="#fff" stroke-width="{thin * 3:.1f}"/>',
        f'<path d="{path}" fill="none" stroke="#000" stroke-width="{thin:.1f}"/>',
        *names,
    ]


def _svg_outline(mark: MarkWords, width: int, height: int, radius: float) -> str:
    if mark.by_zone:
        return ""
    x, y = mark.x * width / 100, mark.y * height / 100
    if not mark.width and not mark.height:
        size = radius * 0.22
        return (
            f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{size:.1f}" fill="#000" stroke="#fff" '
            f'stroke-width="{size * 0.6:.1f}"/>'
        )
    if mark.path:
        spots = (f"{a * width / 100:.1f},{b * height / 100:.1f}" for a, b in mark.path)
        name = "polygon" if mark.closed else "polyline"
        shape = f'<{name} points="{" ".join(spots)}" stroke-linejoin="round" fill="none"'
    else:
        shape = (
            f'<rect x="{x:.1f}" y="{y:.1f}" width="{mark.width * width / 100:.1f}" '
            f'height="{mark.height * height / 100:.1f}" fill="none"'
        )
    dashes = f' stroke-dasharray="{radius * 0.6:.1f}"' if mark.earlier else ""
    return (
        f'{shape} stroke="#fff" stroke-width="{radius * 0.3:.1f}"/>'
        f'{shape} stroke="#000" stroke-width="{radius * 0.12:.1f}"{dashes}/>'
    )


def _svg_leader(badge: Badge, radius: float) -> str:
    if hypot(badge.x - badge.at_x, badge.y - badge.at_y) <= radius:
        return ""
    line = f'x1="{badge.at_x:.1f}" y1="{badge.at_y:.1f}" x2="{badge.x:.1f}" y2="{badge.y:.1f}"'
    return (
        f'<line {line} stroke="#fff" stroke-width="{radius * 0.28:.1f}"/>'
        f'<line {line} stroke="#000" stroke-width="{radius * 0.1:.1f}"/>'
    )


def _svg_badge(badge: Badge, radius: float) -> str:
    return (
        f"<g><title>F{badge.number}</title>"
        f'<circle cx="{badge.x:.1f}" cy="{badge.y:.1f}" r="{radius:.1f}" fill="#fff" '
        f'stroke="#000" stroke-width="{radius * 0.12:.1f}"/>'
        f'<text x="{badge.x:.1f}" y="{badge.y + radius * 0.37:.1f}" text-anchor="middle" '
        f'font-size="{radius * 1.05:.1f}" font-weight="700">{badge.number}</text></g>'
    )
