"""The frame of every page: head with object, face, QR and hazards; foot with the page stamp."""

from dataclasses import dataclass

from reportlab.lib.pagesizes import A4, A5, letter
from reportlab.lib.units import mm

from lifecycle.papers.fonts.lines import Line, cut_to, fit, set_lines
from lifecycle.papers.ink.pen import (
    BODY,
    BOLD,
    CODE,
    NUMBER,
    SMALL,
    SMALL_BOLD,
    TITLE,
    Pen,
)
from lifecycle.papers.ink.signs import hazard_sign, orientation_sign, pencil_sign
from lifecycle.papers.words.blocks import Head, Stamp

SIZES = {"a4": A4, "letter": letter}
#: A5 (ISO 216), and half of a US Letter sheet.
HALF_SIZES = {"a4": A5, "letter": (letter[1] / 2, letter[0])}
LEFT = 25 * mm
RIGHT = 12 * mm
TOP = 10 * mm
BOTTOM = 10 * mm
QR_SIDE: float = 22 * mm
TITLE_CUT = 60
FOOT = 11 * mm
#: On half a sheet the stamp takes a line more.
HALF_FOOT = 15.5 * mm
SIGN: float = 6.5 * mm


@dataclass
class Frame:
    """Where the body of a page may stand, and how its head and foot are drawn."""

    head: Head
    stamp: Stamp
    size: tuple[float, float]
    half: bool = False

    def __post_init__(self) -> None:
        self.x = LEFT
        self.width = self.size[0] - LEFT - RIGHT
        self.hazard = set_lines(self.head.hazard_line, BOLD, self.width - SIGN - 3 * mm)
        self.handling = set_lines(self.head.handling_line, BODY, self.width - SIGN - 3 * mm)
        self.top = self.size[1] - TOP - self._head_height()
        self.foot = HALF_FOOT if self.half else FOOT
        self.bottom = BOTTOM + self.foot

    def _head_height(self) -> float:
        height = QR_SIDE + 5 * mm + 3 * mm
        for lines, style in ((self.hazard, BOLD), (self.handling, BODY)):
            if lines:
                height += self._line_box(lines, style.line) + 1 * mm
        return float(height + 2 * mm)

    @staticmethod
    def _line_box(lines: list[Line], line_height: float) -> float:
        return max(SIGN, len(lines) * line_height)

    def draw(self, pen: Pen, page: int, pages: int) -> None:
        self._head(pen)
        self._foot(pen, page, pages)

    def _head(self, pen: Pen) -> None:
        head, top = self.head, self.size[1] - TOP
        right = self.x + self.width
        pen.qr(self.stamp.address, right - QR_SIDE, top - QR_SIDE, QR_SIDE)
        code = fit(self.stamp.code, CODE, QR_SIDE + 6 * mm)
        pen.line(code, right - QR_SIDE / 2 - code.width / 2, top - QR_SIDE - 4 * mm, CODE)
        picture_room = 0.0
        if head.picture is not None and self._number_leaves_room():
            picture_room = QR_SIDE + 4 * mm
            pen.picture(
                head.picture,
                right - 2 * QR_SIDE - 4 * mm,
                top - QR_SIDE,
                QR_SIDE,
                QR_SIDE,
            )
        room = self.width - QR_SIDE - 4 * mm - picture_room
        y = top - SMALL.size
        pen.text(head.institution, self.x, y, SMALL, room)
        y -= 6.2 * mm
        pen.text(head.paper_name, self.x, y, TITLE, room)
        y -= 7.4 * mm
        pen.text(head.object_number, self.x, y, NUMBER, room)
        y -= 5 * mm
        pen.text(cut_to(head.title, TITLE_CUT), self.x, y, BODY, room)
        y -= 4.6 * mm
        which = " · ".join(
            part
            for part in (
                f"Exhibition number {head.exhibition_number}" if head.exhibition_number else "",
                # Half a sheet names the face in its body, where it is never cut.
                f"Face: {head.face_label}" if head.face_label and not self.half else "",
            )
            if part
        )
        pen.text(which, self.x, y, SMALL_BOLD, room)
        y = top - QR_SIDE - 6 * mm
        pen.accent_rule(self.x, y, self.width)
        y -= 2 * mm
        y = self._line(pen, self.hazard, BOLD.line, y, hazard=True)
        self._line(pen, self.handling, BODY.line, y, hazard=False)

    def _number_leaves_room(self) -> bool:
        """On half a sheet a long object number goes before the picture of the face."""
        room = self.width - 2 * (QR_SIDE + 4 * mm)
        return not self.half or fit(self.head.object_number, NUMBER, self.width).width <= room

    def _line(
        self, pen: Pen, lines: list[Line], line_height: float, y: float, *, hazard: bool
    ) -> float:
        if not lines:
            return y
        height = self._line_box(lines, line_height)
        style = BOLD if hazard else BODY
        sign_y = y - (height + SIGN) / 2
        if hazard and self.head.hazard_sign:
            hazard_sign(pen.canvas, self.x, sign_y, SIGN)
        elif not hazard and self.head.orientation != "any":
            orientation_sign(pen.canvas, self.head.orientation, self.x, sign_y, SIGN)
        text_top = y - (height - len(lines) * line_height) / 2
        signed = self.head.hazard_sign if hazard else self.head.orientation != "any"
        indent = SIGN + 3 * mm if signed else 0
        pen.lines(lines, self.x + indent, text_top, style, self.width - indent)
        return float(y - height - 1 * mm)

    def _foot(self, pen: Pen, page: int, pages: int) -> None:
        stamp, y = self.stamp, BOTTOM + self.foot - 3.5 * mm
        pen.rule(self.x, y + 2.2 * mm, self.width, 0.6, 0.0)
        of = f"Page {page} of {pages}"
        record = f"{stamp.record_no} · version {stamp.version} · digest {stamp.digest_words}"
        copy = f"print {stamp.print_no} · copy: {stamp.copy}"
        when = f"Printed {stamp.printed_at} by {stamp.printed_by}"
        rows = (record, copy, when) if self.half else (f"{record} · {copy}", when)
        pencil = fit(self.head.pencil_line, SMALL_BOLD, 70 * mm)
        rooms = (self.width - 30 * mm, self.width - pencil.width - 10 * mm, self.width)
        for number, (row, room) in enumerate(zip(rows, rooms, strict=False)):
            pen.text(row, self.x, y - 2 * mm - number * 4.2 * mm, SMALL, room)
        pen.text_right(of, self.x + self.width, y - 2 * mm, SMALL_BOLD, 28 * mm)
        if self.head.pencil_line:
            left = self.x + self.width - pencil.width
            pen.line(pencil, left, y - 6.2 * mm, SMALL_BOLD)
            pencil_sign(pen.canvas, left - 6.5 * mm, y - 6.6 * mm, 3.2 * mm)
