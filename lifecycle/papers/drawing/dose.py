"""Plot of a light account: the dose in the rolling window by date, the allowance as a line.

Plain SVG, drawn by our own code. Colours come from the page by class; what is promised is dashed,
what was charged without a reading hatched, so that nothing is said by colour alone. The title
states the finding; the text summary says the same to who can't see the plot.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Final
from xml.sax.saxutils import escape

WIDTH, HEIGHT = 720, 260
LEFT, RIGHT, TOP, BOTTOM = 76, 16, 34, 34
STEPS: Final = (1, 2, 5, 10)


@dataclass(frozen=True, slots=True)
class DosePoint:
    """A day and the dose in its window [lx·h]."""

    day: date
    lx_h: int
    promised: bool = False


def nice_step(most: int) -> int:
    """Return a round distance for about five labels up to ``most``.

    >>> nice_step(75_000)
    20000
    """
    size = 1
    while size * 10 * 5 < most:
        size *= 10
    return next((size * step for step in STEPS if size * step * 5 >= most), size * 10)


def dose_plot(
    points: Sequence[DosePoint],
    *,
    allowance: int,
    today: date,
    title: str,
    summary: str,
    gaps: Sequence[tuple[date, date]] = (),
) -> str:
    """Return the plot as an SVG element; empty when there are fewer than two points.

    :param gaps: spans charged without a reading, first and last day; they are hatched
    """
    if len(points) < 2:
        return ""
    first, last = points[0].day, points[-1].day
    most = max([allowance, *(point.lx_h for point in points)])
    step = nice_step(max(most, 5))
    top = -(-most // step) * step
    days = max((last - first).days, 1)

    def x(day: date) -> float:
        return round(LEFT + (WIDTH - LEFT - RIGHT) * (day - first).days / days, 1)

    def y(lx_h: int) -> float:
        return round(HEIGHT - BOTTOM - (HEIGHT - TOP - BOTTOM) * lx_h / top, 1)

    def path(chosen: Sequence[DosePoint]) -> str:
        return " ".join(f"{x(point.day)},{y(point.lx_h)}" for point in chosen)

    had = [point for point in points if not point.promised]
    ahead = [*had[-1:], *(point for point in points if point.promised)]
    parts = [
        f'<svg class="plot" viewBox="0 0 {WIDTH} {HEIGHT}" role="img" '
        f'aria-labelledby="dose-title dose-text" xmlns="http://www.w3.org/2000/svg">',
        f'<title id="dose-title">{escape(title)}</title>',
        f'<desc id="dose-text">{escape(summary)}</desc>',
    ]
    seen = [(max(start, first), min(end, last)) for start, end in gaps if end >= first]
    if seen:
        parts.append(
            '<defs><pattern id="dose-gap" width="6" height="6" patternUnits="userSpaceOnUse" '
            'patternTransform="rotate(45)"><line class="hatch" x1="0" y1="0" x2="0" y2="6"/>'
            "</pattern></defs>"
        )
    for start, end in seen:
        wide = max(round(x(end) - x(start), 1), 2.0)
        parts.append(
            f'<rect class="gap" fill="url(#dose-gap)" x="{x(start)}" y="{TOP}" width="{wide}" '
            f'height="{HEIGHT - TOP - BOTTOM}"/>'
        )
    for value in range(0, top + 1, step):
        parts.append(
            f'<line class="rule" x1="{LEFT}" x2="{WIDTH - RIGHT}" y1="{y(value)}" y2="{y(value)}"/>'
            f'<text class="tick" x="{LEFT - 8}" y="{y(value) + 4}" text-anchor="end">'
            f"{value:,}</text>"
        )
    for year in range(first.year, last.year + 1):
        day = max(date(year, 1, 1), first)
        if year > first.year or first.month < 11:
            parts.append(
                f'<text class="tick" x="{x(day)}" y="{HEIGHT - BOTTOM + 18}">{year}</text>'
                f'<line class="rule" x1="{x(day)}" x2="{x(day)}" y1="{HEIGHT - BOTTOM}" '
                f'y2="{HEIGHT - BOTTOM + 5}"/>'
            )
    parts.append(
        f'<text class="tick" x="{LEFT - 8}" y="{TOP - 16}" text-anchor="end">lx·h</text>'
        f'<line class="limit" x1="{LEFT}" x2="{WIDTH - RIGHT}" y1="{y(allowance)}" '
        f'y2="{y(allowance)}"/>'
        f'<text class="limit-word" x="{WIDTH - RIGHT}" y="{y(allowance) - 5}" text-anchor="end">'
        f"allowance {allowance:,} lx·h</text>"
    )
    if len(had) > 1:
        parts.append(f'<polyline class="had" points="{path(had)}"/>')
    if len(ahead) > 1:
        parts.append(f'<polyline class="ahead" points="{path(ahead)}"/>')
    if first <= today <= last:
        parts.append(
            f'<line class="now" x1="{x(today)}" x2="{x(today)}" y1="{TOP}" y2="{HEIGHT - BOTTOM}"/>'
            f'<text class="tick" x="{x(today) + 4}" y="{HEIGHT - BOTTOM - 6}">today</text>'
        )
    return "".join([*parts, "</svg>"])
