"""A mark as it is typed or drawn: a shape, its points one a line, and what they are counted in.

The picture's script writes the same fields that a person fills in who can't see the picture or has
no pointer; nothing depends on the script.
"""

import re
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Final

from django import forms

from lifecycle.queries.marks import Plane, scale_in_words
from lifecycle.science.selectors import BadMark, Mark, ShapeKind, mark_of
from lifecycle.science.shapes import Point

SHAPES: Final = [
    ("", "no mark"),
    (ShapeKind.POINT.value, "Point"),
    (ShapeKind.BOX.value, "Box"),
    (ShapeKind.LINE.value, "Line"),
    (ShapeKind.OUTLINE.value, "Outline"),
]
PICTURE, FACE, MM = "picture", "face", "mm"
UNITS: Final = [
    (PICTURE, "percent of the picture"),
    (FACE, "percent of the face, from its edges"),
    (MM, "mm from the edges of the face"),
]
_NUMBER: Final = re.compile(r"-?\d+(?:\.\d+)?")
#: A form takes no more text than the most points can need.
LONGEST: Final = 12_000


class Unreadable(ValueError):
    """What was typed is not a list of points; in words for the person."""


def points_typed(text: str) -> list[Point]:
    """Return the points of a text: one a line or parted by semicolons, each two numbers.

    :raises Unreadable: naming the line
    """
    points = []
    for count, line in enumerate(re.split(r"[;\n]", text), start=1):
        if not line.strip():
            continue
        parts = line.replace(",", " ").split()
        if len(parts) != 2 or not all(_NUMBER.fullmatch(part) for part in parts):
            raise Unreadable(
                f"Point {count}, “{line.strip()[:40]}”, is not two numbers: from left, from top, "
                "such as 12.5, 40."
            )
        points.append((float(parts[0]), float(parts[1])))
    return points


def in_pixels(points: list[Point], unit: str, plane: Plane) -> list[Point]:
    """Return points in pixels of the picture.

    :raises Unreadable: for mm on a picture without a scale
    """
    if unit == PICTURE:
        return [(x * plane.width / 100, y * plane.height / 100) for x, y in points]
    left, top, wide, high = plane.face
    if unit == FACE:
        return [(left + x * wide / 100, top + y * high / 100) for x, y in points]
    if plane.ruler is None:
        raise Unreadable(
            "This picture has no scale yet: give percent, or mark the ruler on the picture first."
        )
    ruler = plane.ruler
    return [(left + ruler.pixels_of(x), top + ruler.pixels_of(y)) for x, y in points]


def mark_typed(shape: str, text: str, unit: str, plane: Plane) -> Mark:
    """Return the mark that was typed.

    :raises Unreadable: if it is no shape on this picture
    """
    points = in_pixels(points_typed(text), unit, plane)
    try:
        return mark_of(ShapeKind(shape), points, width=plane.width, height=plane.height)
    except BadMark as bad:
        raise Unreadable(str(bad)) from bad


def places_of(points: "tuple[Point, ...] | list[Point]", plane: Plane) -> str:
    """Return points in pixels as the text of the field: percent of the picture, one a line."""
    told = (f"{_tidy(x * 100 / plane.width)}, {_tidy(y * 100 / plane.height)}" for x, y in points)
    return "\n".join(told)


def _tidy(value: float) -> str:
    return f"{Decimal(repr(value)).quantize(Decimal('0.0001')).normalize():f}"


def shape_field() -> forms.ChoiceField:
    return forms.ChoiceField(
        label="Kind of mark",
        required=False,
        choices=SHAPES,
        help_text="A box has two opposite corners; a line two points or more; an outline three.",
    )


def places_field(label: str, help_text: str) -> forms.CharField:
    return forms.CharField(
        label=label,
        required=False,
        max_length=LONGEST,
        help_text=help_text,
        widget=forms.Textarea(attrs={"rows": 3, "inputmode": "decimal", "spellcheck": "false"}),
    )


def unit_field() -> forms.ChoiceField:
    return forms.ChoiceField(label="Counted in", required=False, choices=UNITS, initial=PICTURE)


@dataclass(frozen=True, slots=True)
class MarkingScale:
    """What the script on the picture says while one draws: the face in it, mm in one pixel."""

    face: str
    mm_per_pixel: str
    words: str

    @classmethod
    def of(cls, plane: Plane) -> "MarkingScale":
        face = " ".join(f"{side:.1f}" for side in plane.face)
        if plane.ruler is None:
            return cls(face, "", "")
        return cls(face, f"{plane.ruler.mm_per_pixel:.8f}", scale_in_words(plane.ruler))


class ScaleForm(forms.Form):
    """The ruler in a picture and the edges of the face in it."""

    ruler = places_field(
        "Two points of the ruler",
        "One a line: percent of the picture from left, from top. On the picture: choose Ruler and "
        "set both points, as far apart as the ruler allows.",
    )
    mm = forms.DecimalField(
        label="Distance between them [mm]",
        required=False,
        max_digits=8,
        decimal_places=2,
        widget=forms.NumberInput(attrs={"step": "0.01", "inputmode": "decimal"}),
    )
    edges = places_field(
        "Edges of the face",
        "Left top and right bottom corner, one a line, in percent of the picture. The grid and "
        "distances then count from these edges. Empty: the picture's own edges.",
    )

    def points(self, name: str, plane: Plane) -> list[Point]:
        """Points of a field in pixels; what can't be read stands beside the field."""
        try:
            return in_pixels(points_typed(self.cleaned_data[name]), PICTURE, plane)
        except Unreadable as bad:
            self.add_error(name, str(bad))
            return []


def scale_initial(picture: Any, plane: Plane) -> dict[str, Any]:
    """What is marked on a picture already, for the form."""
    initial: dict[str, Any] = {"mm": picture.ruler_mm}
    if plane.ruler is not None:
        initial["ruler"] = places_of((plane.ruler.start, plane.ruler.end), plane)
    if plane.edges_marked:
        left, top, wide, high = plane.face
        initial["edges"] = places_of(((left, top), (left + wide, top + high)), plane)
    return initial
