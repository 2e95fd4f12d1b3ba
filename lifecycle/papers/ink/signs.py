"""Signs that stand beside words, never instead of them: hazard, orientation, pencil, fold, cut."""

from reportlab.pdfgen.canvas import Canvas

from lifecycle.process.words import Orientation


def hazard_sign(canvas: Canvas, x: float, bottom: float, size: float) -> None:
    """A triangle with a bar and a dot, black on white: 'read the words beside this'."""
    canvas.saveState()
    canvas.setStrokeGray(0)
    canvas.setFillGray(0)
    canvas.setLineWidth(size * 0.09)
    canvas.setLineJoin(1)
    path = canvas.beginPath()
    path.moveTo(x + size * 0.05, bottom + size * 0.06)
    path.lineTo(x + size * 0.95, bottom + size * 0.06)
    path.lineTo(x + size * 0.5, bottom + size * 0.9)
    path.close()
    canvas.drawPath(path, stroke=1, fill=0)
    canvas.rect(x + size * 0.45, bottom + size * 0.3, size * 0.1, size * 0.32, stroke=0, fill=1)
    canvas.circle(x + size * 0.5, bottom + size * 0.19, size * 0.06, stroke=0, fill=1)
    canvas.restoreState()


def orientation_sign(
    canvas: Canvas, orientation: str, x: float, bottom: float, size: float
) -> None:
    """How the object must be held: arrows up, or a sheet lying flat, face up or face down."""
    canvas.saveState()
    canvas.setStrokeGray(0)
    canvas.setFillGray(0)
    canvas.setLineWidth(size * 0.07)
    canvas.rect(x, bottom, size, size, stroke=1, fill=0)
    if orientation == Orientation.UPRIGHT_ONLY:
        for centre in (0.32, 0.68):
            _arrow_up(canvas, x + size * centre, bottom + size * 0.26, size * 0.56)
        canvas.rect(x + size * 0.14, bottom + size * 0.12, size * 0.72, size * 0.08, 0, 1)
    elif orientation in {Orientation.FLAT_FACE_UP, Orientation.FLAT_FACE_DOWN}:
        up = orientation == Orientation.FLAT_FACE_UP
        canvas.rect(x + size * 0.12, bottom + size * 0.44, size * 0.76, size * 0.12, 0, 1)
        if up:
            _arrow_up(canvas, x + size * 0.5, bottom + size * 0.6, size * 0.3)
        else:
            _arrow_down(canvas, x + size * 0.5, bottom + size * 0.4, size * 0.3)
    elif orientation == Orientation.AS_MOUNTED:
        canvas.rect(x + size * 0.2, bottom + size * 0.2, size * 0.6, size * 0.6, 1, 0)
        canvas.rect(x + size * 0.34, bottom + size * 0.34, size * 0.32, size * 0.32, 0, 1)
    canvas.restoreState()


def _arrow_up(canvas: Canvas, x: float, bottom: float, height: float) -> None:
    wide = height * 0.32
    canvas.rect(x - wide * 0.3, bottom, wide * 0.6, height * 0.55, stroke=0, fill=1)
    path = canvas.beginPath()
    path.moveTo(x - wide, bottom + height * 0.5)
    path.lineTo(x + wide, bottom + height * 0.5)
    path.lineTo(x, bottom + height)
    path.close()
    canvas.drawPath(path, stroke=0, fill=1)


def _arrow_down(canvas: Canvas, x: float, top: float, height: float) -> None:
    wide = height * 0.32
    canvas.rect(x - wide * 0.3, top - height * 0.55, wide * 0.6, height * 0.55, stroke=0, fill=1)
    path = canvas.beginPath()
    path.moveTo(x - wide, top - height * 0.5)
    path.lineTo(x + wide, top - height * 0.5)
    path.lineTo(x, top - height)
    path.close()
    canvas.drawPath(path, stroke=0, fill=1)


def pencil_sign(canvas: Canvas, x: float, bottom: float, size: float) -> None:
    """A pencil seen from the side, point to the left."""
    canvas.saveState()
    canvas.setStrokeGray(0)
    canvas.setFillGray(0)
    canvas.setLineWidth(size * 0.08)
    low, high, middle = bottom + size * 0.28, bottom + size * 0.72, bottom + size * 0.5
    path = canvas.beginPath()
    path.moveTo(x, middle)
    path.lineTo(x + size * 0.4, high)
    path.lineTo(x + size * 1.5, high)
    path.lineTo(x + size * 1.5, low)
    path.lineTo(x + size * 0.4, low)
    path.close()
    canvas.drawPath(path, stroke=1, fill=0)
    canvas.line(x + size * 0.4, low, x + size * 0.4, high)
    point = canvas.beginPath()
    point.moveTo(x, middle)
    point.lineTo(x + size * 0.16, middle + size * 0.09)
    point.lineTo(x + size * 0.16, middle - size * 0.09)
    point.close()
    canvas.drawPath(point, stroke=1, fill=1)
    canvas.restoreState()
