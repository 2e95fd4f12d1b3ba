"""A plan of a gallery with its lettered reading points, for screens and for paper.

Places are per cent of the drawing from its top left corner. A point is a dot with a ring, joined
by a thin line to a plate that bears its letter; plates cover neither each other nor a dot where
there is room. The point that is read next is told by a filled plate and a wider ring, never by
colour alone.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from math import cos, pi, sin

from lifecycle.papers.drawing.laid_over import Finer
from lifecycle.papers.words.parts import SpotWords
from lifecycle.science.shapes import Frame

TURNS, RINGS = 16, 24
#: A letter's width and a plate's height, as shares of the size of the letters.
LETTER, HIGH = 0.64, 1.5
#: The letters' size, as a share of the longer side of a screen picture.
SIZE = 0.019
#: How much of a plan is shown around one point.
AROUND = 0.4


@dataclass(frozen=True, slots=True)
class Plate:
    """Where a plate stands (its left, top, width and height) and the point it belongs to."""

    label: str
    left: float
    top: float
    width: float
    height: float
    at_x: float
    at_y: float

    @property
    def middle(self) -> tuple[float, float]:
        return self.left + self.width / 2, self.top + self.height / 2

    def covers(self, other: "Plate", gap: float) -> bool:
        return (
            abs(self.middle[0] - other.middle[0]) < (self.width + other.width) / 2 + gap
            and abs(self.middle[1] - other.middle[1]) < (self.height + other.height) / 2 + gap
        )

    def covers_dot(self, x: float, y: float, gap: float) -> bool:
        return (
            self.left - gap < x < self.left + self.width + gap
            and self.top - gap < y < self.top + self.height + gap
        )


def place_plates(
    spots: Sequence[SpotWords], width: float, height: float, size: float
) -> list[Plate]:
    """Give every point a plate beside it that covers no other plate and no dot.

    Width, height and size (of the letters) share one unit, plates stay inside the drawing. Where
    it is so full that no free place is left, a plate stands on its own point.
    """
    dots = [(spot.across * width / 100, spot.down * height / 100) for spot in spots]
    placed: list[Plate] = []
    for spot, (x, y) in zip(spots, dots, strict=True):
        wide, high = size * (LETTER * len(spot.label) + 0.8), size * HIGH
        tries = (
            Plate(spot.label, x + dx - wide / 2, y + dy - high / 2, wide, high, x, y)
            for dx, dy in _ways(wide, high, size)
        )
        placed.append(
            next(
                (
                    plate
                    for plate in tries
                    if 0 <= plate.left <= width - wide
                    and 0 <= plate.top <= height - high
                    and not any(plate.covers(other, size * 0.15) for other in placed)
                    and not any(plate.covers_dot(*dot, size * 0.4) for dot in dots)
                ),
                Plate(spot.label, x - wide / 2, y - high / 2, wide, high, x, y),
            )
        )
    return placed


def _ways(wide: float, high: float, size: float) -> list[tuple[float, float]]:
    """Places of a plate's middle around its dot, nearest first."""
    return [
        (
            (wide / 2 + size * (0.6 + 0.7 * ring)) * cos(-pi / 2 + turn * 2 * pi / TURNS),
            (high / 2 + size * (0.6 + 0.7 * ring)) * sin(-pi / 2 + turn * 2 * pi / TURNS),
        )
        for ring in range(RINGS)
        for turn in range(TURNS)
    ]


def plan_svg(
    *,
    href: str,
    width: int,
    height: int,
    spots: Sequence[SpotWords],
    title: str,
    next_key: str = "",
    around: str = "",
    finer: Finer | None = None,
) -> str:
    """The plan as an SVG element that scales with its column; ``title`` says what it shows.

    :param next_key: the key of the spot that is read next
    :param around: the key of a spot: only its surroundings are shown
    """
    size = max(width, height) * SIZE * (0.7 if around else 1)
    view = _surroundings(spots, around, width, height)
    parts = [
        f'<svg class="lettered-plan" viewBox="{" ".join(f"{one:g}" for one in view)}" role="img" '
        f'aria-label="{escape(title)}" data-letters="{size:.1f}" '
        'xmlns="http://www.w3.org/2000/svg">',
        f"<title>{escape(title)}</title>",
        f'<image href="{escape(href)}" width="{width}" height="{height}"{finer or ""}/>',
    ]
    plates = place_plates(spots, width, height, size)
    for spot, plate in zip(spots, plates, strict=True):
        parts.append(_svg_spot(spot, plate, size, is_next=bool(next_key) and spot.key == next_key))
    return "".join([*parts, "</svg>"])


def _surroundings(spots: Sequence[SpotWords], key: str, width: int, height: int) -> Frame:
    spot = next((one for one in spots if key and one.key == key), None)
    if spot is None:
        return 0, 0, width, height
    wide, high = width * AROUND, height * AROUND
    left = min(max(spot.across * width / 100 - wide / 2, 0), width - wide)
    top = min(max(spot.down * height / 100 - high / 2, 0), height - high)
    return round(left, 1), round(top, 1), round(wide, 1), round(high, 1)


def _svg_spot(spot: SpotWords, plate: Plate, size: float, *, is_next: bool) -> str:
    x, y = plate.at_x, plate.at_y
    to_x, to_y = plate.middle
    lines = "".join(
        f'<line x1="{x:.1f}" y1="{y:.1f}" x2="{to_x:.1f}" y2="{to_y:.1f}" stroke="{ink}" '
        f'stroke-width="{size * share:.1f}"/>'
        for ink, share in (("#fff", 0.24), ("#000", 0.09))
    )
    return (
        f'<g class="spot{" next" if is_next else ""}" data-spot="{escape(spot.key)}">'
        f"<title>{escape(spot.label)}{', read next' if is_next else ''}</title>{lines}"
        f'<circle class="ring" cx="{x:.1f}" cy="{y:.1f}" r="{size * 0.42:.1f}" '
        f'stroke-width="{size * 0.12:.1f}"/>'
        f'<circle class="dot" cx="{x:.1f}" cy="{y:.1f}" r="{size * 0.2:.1f}"/>'
        f'<rect class="plate" x="{plate.left:.1f}" y="{plate.top:.1f}" width="{plate.width:.1f}" '
        f'height="{plate.height:.1f}" rx="{size * 0.25:.1f}" stroke-width="{size * 0.1:.1f}"/>'
        f'<text x="{to_x:.1f}" y="{to_y + size * 0.36:.1f}" text-anchor="middle" '
        f'font-size="{size:.1f}" font-weight="700">{escape(spot.label)}</text></g>'
    )
