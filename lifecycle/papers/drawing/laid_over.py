"""A picture to look into, alone or with another one laid over it, as SVG in picture pixels.

The upper picture lies in the lower one's pixels by an affine map; it is clipped at a line that
can be slid. Without a script the line stands in the middle.
"""

from dataclasses import dataclass
from html import escape

from lifecycle.science.common_points import Map


@dataclass(frozen=True, slots=True)
class Finer:
    """Where finer parts of a picture come from; ``address`` has {level}, {column} and {row}."""

    address: str
    side: int
    levels: int

    def __str__(self) -> str:
        return (
            f' data-tiles="{escape(self.address)}" data-tile-side="{self.side}" '
            f'data-tile-levels="{self.levels}"'
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """One picture: where it is, and its size in pixels."""

    href: str
    width: int
    height: int
    finer: Finer | None = None

    def __str__(self) -> str:
        return (
            f'<image href="{escape(self.href)}" width="{self.width}" height="{self.height}"'
            f"{self.finer or ''}/>"
        )


def laid_over(lower: Shown, upper: Shown | None, by: Map, *, title: str) -> str:
    """The SVG element; ``by`` maps pixels of the upper picture to pixels of the lower one."""
    head = (
        f'<svg class="looked-into" viewBox="0 0 {lower.width} {lower.height}" role="img" '
        f'aria-label="{escape(title)}" xmlns="http://www.w3.org/2000/svg">'
        f"<title>{escape(title)}</title>{lower}"
    )
    if upper is None:
        return f"{head}</svg>"
    half, thin = lower.width / 2, max(lower.width, lower.height) / 1000
    matrix = " ".join(f"{value:.9g}" for value in (by.a, by.b, by.c, by.d, by.e, by.f))
    return (
        f'{head}<clipPath id="slid"><rect data-slid x="{half:g}" y="0" '
        f'width="{half:g}" height="{lower.height}"/></clipPath>'
        f'<g data-upper clip-path="url(#slid)"><g data-layer transform="matrix({matrix})">'
        f"{upper}</g></g>"
        f'<g data-slide-line><line x1="{half:g}" x2="{half:g}" y1="0" y2="{lower.height}" '
        f'stroke="#fff" stroke-width="{thin * 3:.1f}"/><line x1="{half:g}" x2="{half:g}" y1="0" '
        f'y2="{lower.height}" stroke="#000" stroke-width="{thin:.1f}"/></g></svg>'
    )
