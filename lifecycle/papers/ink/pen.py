"""The pen: text, rules, boxes, signs and pictures on one canvas, in points."""

import io
from collections.abc import Callable
from dataclasses import dataclass, field

from PIL import Image, ImageOps, UnidentifiedImageError
from reportlab.lib.units import mm
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas

from lifecycle.papers.drawing.qr import squares
from lifecycle.papers.fonts.catalogue import Style
from lifecycle.papers.fonts.lines import Line, draw_line, fit, set_lines
from lifecycle.papers.words.parts import PictureWords

#: Gives the bytes of a stored picture by its SHA-256, or None when the store does not have it.
PictureSource = Callable[[str], bytes | None]

BODY = Style(10)
BOLD = Style(10, bold=True)
SMALL = Style(9)
SMALL_BOLD = Style(9, bold=True)
TITLE = Style(15, bold=True)
HEADING = Style(12, bold=True)
NUMBER = Style(19, bold=True, mono=True)
CODE = Style(10, bold=True, mono=True)
ACT = Style(14, bold=True)

INK = 0.0
#: Light enough to write over with a pencil, dark enough to be found.
WRITE_GREY = 0.55
FRAME_GREY = 0.35
ACCENT = (0.05, 0.30, 0.36)
TICK = 5 * mm
WRITE_LINE = 8 * mm
PICTURE_DPI = 200


@dataclass
class Pen:
    """A canvas with the habits of our papers; x and y count from the lower left corner."""

    canvas: Canvas
    pictures: PictureSource
    _ready: dict[tuple[str, int, int], ImageReader | None] = field(default_factory=dict)

    def line(self, line: Line, x: float, y: float, style: Style) -> None:
        """A line that is already set; y is its base line."""
        self.canvas.setFillGray(INK)
        draw_line(self.canvas, line, x, y, style)

    def text(self, text: str, x: float, y: float, style: Style, width: float) -> None:
        """One line of text, cut with an ellipsis when it is wider than `width`."""
        self.line(fit(text, style, width), x, y, style)

    def text_right(self, text: str, right: float, y: float, style: Style, width: float) -> None:
        """One line that ends at `right`."""
        line = fit(text, style, width)
        self.line(line, right - line.width, y, style)

    def lines(self, lines: list[Line], x: float, top: float, style: Style, width: float) -> None:
        """Lines below each other from `top`; lines that read leftwards end at the right."""
        for number, line in enumerate(lines):
            y = top - style.size * 1.05 - number * style.line
            self.line(line, x + width - line.width if line.leftwards else x, y, style)

    def rule(
        self, x: float, y: float, width: float, weight: float = 0.5, grey: float = WRITE_GREY
    ) -> None:
        self.canvas.setStrokeGray(grey)
        self.canvas.setLineWidth(weight)
        self.canvas.line(x, y, x + width, y)

    def upright(
        self, x: float, bottom: float, top: float, weight: float = 0.4, grey: float = FRAME_GREY
    ) -> None:
        self.canvas.setStrokeGray(grey)
        self.canvas.setLineWidth(weight)
        self.canvas.line(x, bottom, x, top)

    def accent_rule(self, x: float, y: float, width: float) -> None:
        """The one accent; it prints as a dark rule on any printer and says nothing."""
        self.canvas.setStrokeColorRGB(*ACCENT)
        self.canvas.setLineWidth(1.6)
        self.canvas.line(x, y, x + width, y)

    def box(
        self,
        x: float,
        bottom: float,
        width: float,
        height: float,
        weight: float = 0.6,
        grey: float = FRAME_GREY,
    ) -> None:
        self.canvas.setStrokeGray(grey)
        self.canvas.setLineWidth(weight)
        self.canvas.rect(x, bottom, width, height, stroke=1, fill=0)

    def tick_box(self, x: float, bottom: float) -> None:
        """An empty box of 5 mm."""
        self.box(x, bottom, TICK, TICK, 0.8, 0.15)

    def qr(self, address: str, x: float, bottom: float, side: float) -> None:
        """A QR code with its quiet zone inside `side`, all dark squares as one path."""
        count, runs = squares(address)
        step = side / count
        self.canvas.setFillGray(INK)
        path = self.canvas.beginPath()
        for column, row, length in runs:
            path.rect(x + column * step, bottom + side - (row + 1) * step, length * step, step)
        self.canvas.drawPath(path, stroke=0, fill=1)

    def picture(
        self, words: PictureWords | None, x: float, bottom: float, width: float, height: float
    ) -> tuple[float, float, float, float] | None:
        """A stored picture fitted into a box; gives where it stands, or None when there is none.

        A picture that the record names and the store has lost is said in the frame, in words.
        """
        if words is None:
            return None
        scale = min(width / words.width, height / words.height)
        shown_width, shown_height = words.width * scale, words.height * scale
        left, low = x + (width - shown_width) / 2, bottom + (height - shown_height) / 2
        reader = self._reader(words, shown_width, shown_height)
        if reader is None:
            self.box(left, low, shown_width, shown_height)
            message = f"Picture {words.sha256[:10]} is not in the picture store."
            self.lines(
                set_lines(message, SMALL, shown_width - 4),
                left + 2,
                low + shown_height - 2,
                SMALL,
                shown_width - 4,
            )
        else:
            self.canvas.drawImage(reader, left, low, shown_width, shown_height)
            self.box(left, low, shown_width, shown_height, 0.4, FRAME_GREY)
        return left, low, shown_width, shown_height

    def _reader(self, words: PictureWords, width: float, height: float) -> ImageReader | None:
        size = (
            min(words.width, max(1, round(width / 72 * PICTURE_DPI))),
            min(words.height, max(1, round(height / 72 * PICTURE_DPI))),
        )
        key = (words.sha256, *size)
        if key not in self._ready:
            self._ready[key] = _prepared(self.pictures(words.sha256), size)
        return self._ready[key]


def _prepared(data: bytes | None, size: tuple[int, int]) -> ImageReader | None:
    """A JPEG no larger than the printer needs; the same bytes in give the same bytes out."""
    if data is None:
        return None
    try:
        with Image.open(io.BytesIO(data)) as opened:
            opened.draft("RGB", size)
            image = ImageOps.exif_transpose(opened)
            if image.mode in ("RGBA", "LA", "P"):
                layered = image.convert("RGBA")
                image = Image.new("RGB", layered.size, "white")
                image.paste(layered, mask=layered.getchannel("A"))
            image = image.convert("RGB").resize(size, Image.Resampling.LANCZOS)
    except (UnidentifiedImageError, OSError, Image.DecompressionBombError):
        return None
    out = io.BytesIO()
    image.save(out, "JPEG", quality=88)
    out.seek(0)
    return ImageReader(out)
