"""The accessible version of a paper: the same blocks as HTML, with pictures inside the page."""

import base64
from collections.abc import Iterable, Iterator
from typing import Any

from django.utils.safestring import SafeString, mark_safe

from lifecycle.papers.drawing.lettered_plan import plan_svg
from lifecycle.papers.drawing.numbered_picture import as_svg
from lifecycle.papers.ink.pen import PictureSource
from lifecycle.papers.printed import pictures_in
from lifecycle.papers.sheets import PaperWords, sheet_of
from lifecycle.papers.words.blocks import Block, Cell, FacePicture, LetteredPlan, Table, Together
from lifecycle.queries.papers_out import picture_source
from lifecycle.records.models import Print


def twin_of(row: Print, words: PaperWords) -> list[dict[str, Any]]:
    """The blocks of a print in order, each with the drawing it needs."""
    source = picture_source(pictures_in(words), size="thumbnail")
    return [
        {"kind": block.kind, "block": block, "svg": _svg(block, source), "rows": _rows(block)}
        for block in _flat(sheet_of(words).blocks)
    ]


def _rows(block: Block) -> list[list[str]]:
    """Rows of a table in words: an empty box where one ticks, a line where one writes."""
    if not isinstance(block, Table):
        return []
    empty = {Cell.TICK: "☐", Cell.WRITE: "____", Cell.PICTURE: "on the paper"}
    return [
        [
            cell or empty.get(column.cell, "–")
            for column, cell in zip(block.columns, row, strict=True)
        ]
        for row in block.rows
    ]


def _flat(blocks: Iterable[Block]) -> Iterator[Block]:
    for block in blocks:
        if isinstance(block, Together):
            yield from _flat(block.blocks)
        else:
            yield block


def _svg(block: Block, source: PictureSource) -> SafeString | str:
    """A face with its numbered features, or a plan with its points; both escape their words."""
    if isinstance(block, LetteredPlan):
        return _plan(block, source)
    if not isinstance(block, FacePicture) or block.face.picture is None:
        return ""
    picture = block.face.picture
    data = source(picture.sha256)
    if data is None:
        return ""
    numbers = ", ".join(f"F{mark.number}" for mark in block.marks) or "no numbered feature"
    drawing = as_svg(
        href=f"data:image/jpeg;base64,{base64.b64encode(data).decode()}",
        width=picture.width,
        height=picture.height,
        marks=block.marks,
        grid=block.grid,
        title=f"{block.face.label} with {numbers}",
    )
    return mark_safe(drawing)  # noqa: S308 - every text in it is escaped by as_svg


def _plan(block: LetteredPlan, source: PictureSource) -> SafeString | str:
    plan = block.plan
    data = source(plan.picture.sha256)
    if data is None:
        return ""
    drawing = plan_svg(
        href=f"data:image/jpeg;base64,{base64.b64encode(data).decode()}",
        width=plan.picture.width,
        height=plan.picture.height,
        spots=plan.spots,
        title=f"Plan of {plan.name} with points {', '.join(spot.label for spot in plan.spots)}",
    )
    return mark_safe(drawing)  # noqa: S308 - every text in it is escaped by plan_svg
