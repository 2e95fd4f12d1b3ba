"""Draws the demo's plan of a gallery and the photographs of its reading points, all invented."""

import io
from collections.abc import Mapping
from typing import Final

from PIL import Image, ImageDraw, ImageFont

PLAN: Final = (1600, 1120)
PHOTO: Final = (480, 360)
WALL: Final = (40, 40, 40)
#: Left, top, width and height in per cent of the plan.
Box = tuple[float, float, float, float]


def positions_in(box: Box, count: int) -> list[tuple[float, float]]:
    """Where the positions of a case lie, in a row along its longer side, in per cent."""
    left, top, width, height = box
    long = width * PLAN[0] >= height * PLAN[1]
    shares = [(number + 0.5) / count for number in range(count)]
    if long:
        return [(left + width * share, top + height * 0.5) for share in shares]
    return [(left + width * 0.5, top + height * share) for share in shares]


def case_layout(name: str, positions: int) -> bytes:
    """A case from above with its positions and the door it opens by, as PNG."""
    picture = Image.new("RGB", PHOTO, "white")
    draw = ImageDraw.Draw(picture)
    left, top, right, bottom = 40, 110, PHOTO[0] - 40, PHOTO[1] - 110
    draw.rectangle((left, top, right, bottom), outline=WALL, width=4)
    draw.arc((left - 30, bottom - 30, left + 150, bottom + 150), 270, 360, fill=WALL, width=2)
    face = ImageFont.load_default(size=22)
    draw.text((left, 40), f"Case {name}, seen from above; opens in front", fill=WALL, font=face)
    wide = (right - left) / max(positions, 1)
    for number in range(positions):
        x = left + wide * number
        draw.line((x, top, x, bottom), fill=WALL, width=1)
        draw.text((x + wide / 2, (top + bottom) / 2), str(number + 1), fill=WALL, font=face)
    out = io.BytesIO()
    picture.save(out, "PNG")
    return out.getvalue()


def gallery_plan(cases: Mapping[str, Box], positions: Mapping[str, int]) -> bytes:
    """A room with a door, two windows with blinds and its cases, as PNG."""
    picture = Image.new("RGB", PLAN, "white")
    draw = ImageDraw.Draw(picture)
    wide, high = PLAN
    draw.rectangle((30, 30, wide - 30, high - 30), outline=WALL, width=16)
    draw.rectangle((260, high - 48, 420, high - 26), fill="white")
    draw.arc((260, high - 200, 580, high + 120), 180, 270, fill=WALL, width=3)
    draw.line((260, high - 40, 260, high - 200), fill=WALL, width=3)
    for y in (240, 540):
        draw.rectangle((28, y, 48, y + 150), fill="white", outline=WALL, width=3)
        draw.line((38, y, 38, y + 150), fill=WALL, width=2)
    for name, box in cases.items():
        left, top, width, height = _pixels(box)
        draw.rectangle((left, top, left + width, top + height), fill=(236, 236, 236))
        draw.rectangle((left, top, left + width, top + height), outline=(90, 90, 90), width=4)
        for across, down in positions_in(box, positions[name])[:-1]:
            _division(draw, box, across, down, positions[name])
        draw.text(
            _beside(left, top, width, height),
            name,
            fill=(70, 70, 70),
            font=ImageFont.load_default(size=34),
            anchor="mm",
        )
    small = ImageFont.load_default(size=26)
    draw.text((62, 470), "windows, blinds down", fill=(90, 90, 90), font=small)
    draw.text((290, high - 80), "entrance", fill=(90, 90, 90), font=small)
    sheet = io.BytesIO()
    picture.save(sheet, "PNG")
    return sheet.getvalue()


def _pixels(box: Box) -> Box:
    left, top, width, height = box
    wide, high = PLAN
    return left * wide / 100, top * high / 100, width * wide / 100, height * high / 100


def _beside(left: float, top: float, width: float, height: float) -> tuple[float, float]:
    """The name of a case stands beside it, towards the middle of the room."""
    x, y = left + width / 2, top + height / 2
    if width > height:
        return x, (top + height + 34 if y < PLAN[1] / 2 else top - 34)
    return (left + width + 44 if x < PLAN[0] / 2 else left - 44), y


def _division(draw: ImageDraw.ImageDraw, box: Box, across: float, down: float, count: int) -> None:
    left, top, width, height = _pixels(box)
    if width >= height:
        x = across * PLAN[0] / 100 + width / count / 2
        draw.line((x, top, x, top + height), fill=(150, 150, 150), width=2)
    else:
        y = down * PLAN[1] / 100 + height / count / 2
        draw.line((left, y, left + width, y), fill=(150, 150, 150), width=2)


def point_photo(name: str, share: float) -> bytes:
    """A case seen from the front with the sensor lying at one of its positions, as JPEG.

    :param share: how far along the case the position lies, from 0 to 1
    """
    picture = Image.new("RGB", PHOTO, (58, 56, 54))
    draw = ImageDraw.Draw(picture)
    wide = PHOTO[0]
    draw.polygon([(40, 60), (wide - 40, 60), (wide - 10, 270), (10, 270)], fill=(196, 190, 178))
    draw.rectangle((10, 270, wide - 10, 300), fill=(88, 82, 76))
    middle = 70 + share * (wide - 140)
    draw.polygon(
        [(middle - 62, 96), (middle + 62, 96), (middle + 70, 210), (middle - 70, 210)],
        fill=(228, 218, 194),
        outline=(150, 138, 112),
    )
    for line in range(6):
        y = 112 + line * 15
        draw.line((middle - 46, y, middle + 40, y), fill=(120, 104, 84), width=2)
    draw.ellipse((middle - 20, 218, middle + 20, 252), fill=(30, 30, 32), outline=(210, 210, 210))
    draw.ellipse((middle - 11, 225, middle + 11, 244), fill=(244, 244, 240))
    draw.line((middle, 252, middle + 30, 330), fill=(30, 30, 32), width=5)
    font = ImageFont.load_default(size=30)
    draw.text((24, 20), name, fill=(240, 238, 232), font=font)
    sheet = io.BytesIO()
    picture.save(sheet, "JPEG", quality=82)
    return sheet.getvalue()
