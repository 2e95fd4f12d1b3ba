"""The dose by date in black ink: had as a line, promised dashed, gaps hatched, the limit named."""

from collections.abc import Sequence
from datetime import date

from reportlab.lib.units import mm

from lifecycle.papers.drawing.dose import nice_step
from lifecycle.papers.fonts.lines import set_lines
from lifecycle.papers.ink.flow import Piece
from lifecycle.papers.ink.pen import BOLD, SMALL, Pen
from lifecycle.papers.words.blocks import Plot, PlotPoint

LEFT, BELOW, ABOVE = 19 * mm, 6 * mm, 5 * mm
HATCH = 1.6 * mm


def plot(block: Plot, width: float) -> list[Piece]:
    """Title, drawing and its summary; they stay together."""
    title = set_lines(block.title, BOLD, width)
    summary = set_lines(block.summary, SMALL, width)
    above, below = len(title) * BOLD.line, len(summary) * SMALL.line + 1 * mm
    tall = block.height_mm * mm
    whole = above + tall + below

    def draw(pen: Pen, x: float, y: float) -> None:
        pen.lines(title, x, y, BOLD, width)
        _Drawing(block, x, y - above - tall, width).draw(pen)
        pen.lines(summary, x, y - above - tall - 1 * mm, SMALL, width)

    return [Piece(whole, draw, gap=2.5 * mm)]


class _Drawing:
    """The axes of one plot in points, lower left corner at (x, bottom)."""

    def __init__(self, block: Plot, x: float, bottom: float, width: float) -> None:
        self.block = block
        self.left, self.right = x + LEFT, x + width
        self.low, self.high = bottom + BELOW, bottom + block.height_mm * mm - ABOVE
        self.first, self.last = block.points[0].day, block.points[-1].day
        most = max([block.limit, *(one.lx_h for one in block.points)])
        self.step = nice_step(max(most, 5))
        self.top = -(-most // self.step) * self.step

    def x(self, day: date) -> float:
        days = max((self.last - self.first).days, 1)
        at = min(max(day, self.first), self.last)
        return float(self.left + (self.right - self.left) * (at - self.first).days / days)

    def y(self, lx_h: int) -> float:
        return float(self.low + (self.high - self.low) * lx_h / self.top)

    def draw(self, pen: Pen) -> None:
        for since, until in self.block.hatched:
            self._hatch(pen, self.x(since), self.x(until))
        for value in range(0, self.top + 1, self.step):
            pen.rule(self.left, self.y(value), self.right - self.left, 0.3, 0.7)
            pen.text_right(f"{value:,}", self.left - 1 * mm, self.y(value) - 3, SMALL, LEFT)
        for year in range(self.first.year, self.last.year + 1):
            day = max(date(year, 1, 1), self.first)
            if year > self.first.year or self.first.month < 10:
                pen.upright(self.x(day), self.low - 1 * mm, self.low, 0.4, 0.3)
                pen.text(str(year), self.x(day), self.low - 4.5 * mm, SMALL, 12 * mm)
        had = [one for one in self.block.points if not one.promised]
        ahead = [*had[-1:], *(one for one in self.block.points if one.promised)]
        self._line(pen, had, dashed=False)
        self._line(pen, ahead, dashed=True)
        pen.rule(self.left, self.y(self.block.limit), self.right - self.left, 1.1, 0)
        named = f"allowance {self.block.limit:,} lx·h"
        pen.text_right(named, self.right, self.y(self.block.limit) - 4 * mm, SMALL, 60 * mm)
        if self.first <= self.block.today <= self.last:
            pen.upright(self.x(self.block.today), self.low, self.high, 0.6, 0.2)
            at = self.x(self.block.today) + 0.8 * mm
            pen.text("today", at, self.low + 1 * mm, SMALL, 12 * mm)

    def _line(self, pen: Pen, points: Sequence[PlotPoint], *, dashed: bool) -> None:
        if len(points) < 2:
            return
        canvas = pen.canvas
        canvas.saveState()
        canvas.setStrokeGray(0)
        canvas.setLineWidth(1.2)
        if dashed:
            canvas.setDash(4, 3)
        path = canvas.beginPath()
        path.moveTo(self.x(points[0].day), self.y(points[0].lx_h))
        for one in points[1:]:
            path.lineTo(self.x(one.day), self.y(one.lx_h))
        canvas.drawPath(path, stroke=1, fill=0)
        canvas.restoreState()

    def _hatch(self, pen: Pen, since: float, until: float) -> None:
        """Slanting lines inside the span, clipped to it; never thinner than can be seen."""
        until = max(until, since + 0.6 * mm)
        canvas, height = pen.canvas, self.high - self.low
        canvas.saveState()
        clip = canvas.beginPath()
        clip.rect(since, self.low, until - since, height)
        canvas.clipPath(clip, stroke=0, fill=0)
        canvas.setStrokeGray(0.45)
        canvas.setLineWidth(0.4)
        at = since - height
        while at < until:
            canvas.line(at, self.low, at + height, self.high)
            at += HATCH
        canvas.restoreState()
