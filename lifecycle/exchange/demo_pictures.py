"""Draws the demo's pictures: plausible at thumbnail size, clearly invented.

Every picture is a function of its name alone, so the same demo always looks the same.
"""

import io
import math
import random
from collections.abc import Callable
from typing import Final

from PIL import Image, ImageDraw, ImageFilter

SIZE: Final = (1200, 900)
INK: Final = (74, 52, 34)
Sheet = tuple[Image.Image, ImageDraw.ImageDraw, random.Random]


def _paper(seed: str, tone: tuple[int, int, int], margin: int = 60) -> Sheet:
    """A sheet on a grey table: toned, with fibres, spots and a soft shadow."""
    luck = random.Random(seed)  # noqa: S311 - a picture, not a secret
    picture = Image.new("RGB", SIZE, (96, 94, 90))
    draw = ImageDraw.Draw(picture)
    left, top, right, bottom = margin, margin, SIZE[0] - margin, SIZE[1] - margin
    draw.rectangle((left + 9, top + 11, right + 9, bottom + 11), fill=(72, 70, 67))
    draw.rectangle((left, top, right, bottom), fill=tone)
    for _ in range(900):
        x, y = luck.uniform(left, right), luck.uniform(top, bottom)
        shade = luck.randint(-9, 9)
        colour = tuple(max(0, min(255, part + shade)) for part in tone)
        draw.line((x, y, x + luck.uniform(-18, 18), y + luck.uniform(-3, 3)), fill=colour)
    for _ in range(luck.randint(12, 26)):
        x, y, r = luck.uniform(left, right), luck.uniform(top, bottom), luck.uniform(1, 5)
        draw.ellipse((x - r, y - r, x + r, y + r), fill=tuple(part - 38 for part in tone))
    return picture, draw, luck


def _writing(
    draw: ImageDraw.ImageDraw,
    luck: random.Random,
    box: tuple[float, float, float, float],
    lines: int,
    ink: tuple[int, int, int] = INK,
) -> None:
    """Lines of invented handwriting: waves, never letters of a real text."""
    left, top, right, bottom = box
    for line in range(lines):
        y = top + (line + 0.5) * (bottom - top) / lines
        x = left + luck.uniform(0, 14)
        end = right - luck.uniform(0, 90)
        while x < end:
            word = luck.uniform(24, 95)
            points = [
                (x + step, y + math.sin(step / 3.1) * 5 + luck.uniform(-3.5, 3.5))
                for step in range(0, int(min(word, end - x)) + 1, 3)
            ]
            if len(points) > 1:
                draw.line(points, fill=ink, width=2)
            x += word + 15


def _opening(seed: str, tone: tuple[int, int, int]) -> Sheet:
    picture, draw, luck = _paper(seed, tone, 50)
    middle = SIZE[0] / 2
    for step in range(46):
        shade = tuple(int(part * (0.72 + step * 0.006)) for part in tone)
        draw.line((middle - step, 50, middle - step, SIZE[1] - 50), fill=shade)
        draw.line((middle + step, 50, middle + step, SIZE[1] - 50), fill=shade)
    return picture, draw, luck


def _diary(seed: str, *, sun: bool, sprig: bool) -> Image.Image:
    picture, draw, luck = _opening(seed, (228, 214, 184))
    top = 340 if sun else 110
    _writing(draw, luck, (100, top, 560, 800), 10 if sun else 16)
    _writing(draw, luck, (650, 110, 1110, 800), 16)
    if sun:
        draw.ellipse((210, 110, 410, 310), outline=INK, width=4)
        for ray in range(16):
            angle = ray * math.pi / 8
            x, y = 310 + 112 * math.cos(angle), 210 + 112 * math.sin(angle)
            draw.line((x, y, 310 + 150 * math.cos(angle), 210 + 150 * math.sin(angle)), INK, 3)
        draw.ellipse((265, 175, 281, 191), fill=INK)
        draw.ellipse((339, 175, 355, 191), fill=INK)
        draw.arc((260, 190, 360, 275), 20, 160, fill=INK, width=4)
    if sprig:
        _stem(draw, luck, (150, 420), (330, 150), (86, 92, 52))
    draw.polygon([(50, 850), (170, 850), (50, 770)], fill=(196, 172, 128))
    return picture


def _stem(
    draw: ImageDraw.ImageDraw,
    luck: random.Random,
    foot: tuple[float, float],
    tip: tuple[float, float],
    colour: tuple[int, int, int],
) -> None:
    draw.line((*foot, *tip), fill=colour, width=5)
    for step in range(1, 9):
        x = foot[0] + (tip[0] - foot[0]) * step / 9
        y = foot[1] + (tip[1] - foot[1]) * step / 9
        for side in (-1, 1):
            reach = luck.uniform(26, 52)
            draw.ellipse(
                (x + side * reach - 19, y - 10, x + side * reach + 19, y + 12), fill=colour
            )
            draw.line((x, y, x + side * reach, y), fill=colour, width=2)


def diary_a() -> Image.Image:
    return _diary("diary-a", sun=False, sprig=False)


def diary_b() -> Image.Image:
    return _diary("diary-b", sun=True, sprig=False)


def diary_c() -> Image.Image:
    return _diary("diary-c", sun=False, sprig=True)


def cloud(number: int = 1) -> Image.Image:
    picture, draw, luck = _paper(f"cloud-{number}", (236, 230, 214))
    sky = Image.new("RGB", SIZE, (206, 214, 222))
    clouds = ImageDraw.Draw(sky)
    for _ in range(60):
        x, y = luck.uniform(120, 1080), luck.uniform(140, 620)
        w, h = luck.uniform(60, 260), luck.uniform(30, 100)
        pink = luck.choice([(232, 205, 205), (240, 232, 226), (186, 196, 210), (222, 214, 220)])
        clouds.ellipse((x - w, y - h, x + w, y + h), fill=pink)
    clouds.rectangle((0, 690, *SIZE), fill=(142, 152, 122))
    picture.paste(sky.filter(ImageFilter.GaussianBlur(16)).crop((120, 120, 1080, 780)), (120, 120))
    draw.text((140, 82), str(number), fill=(90, 90, 90))
    for mark in range(number):
        draw.line((170 + mark * 14, 84, 170 + mark * 14, 104), fill=(120, 118, 112), width=3)
    return picture


def frost(number: int = 1) -> Image.Image:
    picture, draw, luck = _paper(f"frost-{number}", (34, 66, 112))
    for _ in range(9 + number):
        x, y = luck.uniform(110, 1090), luck.uniform(120, 800)
        for arm in range(6):
            angle = arm * math.pi / 3 + luck.uniform(-0.2, 0.2)
            length = luck.uniform(60, 190)
            end = (x + length * math.cos(angle), y + length * math.sin(angle))
            draw.line((x, y, *end), fill=(186, 204, 222), width=3)
            for part in (0.4, 0.6, 0.8):
                bx, by = x + (end[0] - x) * part, y + (end[1] - y) * part
                for side in (-0.7, 0.7):
                    tip = (
                        bx + 34 * math.cos(angle + side),
                        by + 34 * math.sin(angle + side),
                    )
                    draw.line((bx, by, *tip), fill=(158, 182, 208), width=2)
    return picture


def _kite(*, back: bool) -> Image.Image:
    picture, draw, _ = _paper("kite-back" if back else "kite", (214, 208, 198), 20)
    body = [(600, 50), (980, 380), (600, 860), (220, 380)]
    draw.polygon(body, fill=(206, 178, 140) if back else (182, 74, 62))
    draw.polygon(
        [(600, 50), (980, 380), (600, 380)], fill=(196, 168, 130) if back else (64, 84, 120)
    )
    draw.line((600, 40, 600, 870), fill=(112, 84, 48), width=12 if back else 5)
    draw.line((210, 380, 990, 380), fill=(112, 84, 48), width=12 if back else 5)
    if back:
        draw.ellipse((582, 362, 618, 398), outline=(150, 30, 30), width=6)
    else:
        draw.line([(420, 240), (500, 240), (450, 350)], fill=(240, 230, 208), width=12)
    return picture


def kite_front() -> Image.Image:
    return _kite(back=False)


def kite_back() -> Image.Image:
    return _kite(back=True)


def barometer() -> Image.Image:
    picture, draw, _ = _paper("barometer", (222, 218, 210), 20)
    draw.rounded_rectangle(
        (520, 40, 680, 860), 26, fill=(104, 62, 34), outline=(70, 40, 20), width=4
    )
    draw.rectangle((556, 90, 644, 330), fill=(206, 190, 140))
    for tick in range(24):
        y = 100 + tick * 9
        draw.line((560, y, 580 + (10 if tick % 4 == 0 else 0), y), fill=(70, 56, 30), width=2)
    draw.rectangle((594, 90, 606, 800), fill=(232, 236, 238))
    draw.rectangle((596, 240, 604, 800), fill=(150, 154, 158))
    draw.ellipse((556, 770, 644, 850), fill=(78, 46, 24))
    return picture


def card() -> Image.Image:
    picture, draw, luck = _paper("card", (232, 222, 198), 150)
    for line in range(17):
        y = 230 + line * 29
        draw.line((230, y, 960 - luck.uniform(0, 160), y), fill=(60, 54, 48), width=5)
    draw.rectangle((380, 176, 820, 202), fill=(50, 46, 42))
    return picture


def card_back() -> Image.Image:
    picture, draw, luck = _paper("card-back", (226, 214, 188), 150)
    _writing(draw, luck, (230, 200, 460, 420), 4)
    draw.line((230, 440, 460, 440), fill=INK, width=3)
    return picture


def letter() -> Image.Image:
    picture, draw, luck = _paper("letter", (224, 210, 180), 90)
    draw.line((90, 450, 1110, 450), fill=(188, 170, 132), width=5)
    _writing(draw, luck, (190, 150, 1010, 420), 7)
    _writing(draw, luck, (190, 480, 1010, 760), 7)
    draw.line((1052, 448, 1110, 452), fill=(96, 94, 90), width=4)
    return picture


def letter_back() -> Image.Image:
    picture, draw, luck = _paper("letter-back", (218, 204, 174), 90)
    draw.line((90, 450, 1110, 450), fill=(186, 168, 132), width=5)
    _writing(draw, luck, (520, 250, 860, 390), 3)
    return picture


def herbarium() -> Image.Image:
    picture, draw, luck = _paper("herbarium", (230, 220, 190))
    for stem in range(4):
        _stem(draw, luck, (560 + stem * 40, 800), (380 + stem * 160, 210), (98, 92, 50))
    for _ in range(16):
        x, y = luck.uniform(380, 900), luck.uniform(200, 560)
        draw.ellipse((x - 9, y - 9, x + 9, y + 9), fill=(176, 86, 54))
    draw.rectangle((100, 100, 360, 240), fill=(240, 234, 212), outline=(120, 104, 76), width=2)
    _writing(draw, luck, (116, 110, 346, 230), 4)
    return picture


def _album(seed: str) -> Image.Image:
    picture, draw, luck = _opening(seed, (150, 134, 112))
    for x, y, w, h in ((120, 150, 360, 260), (130, 490, 330, 240), (700, 190, 380, 460)):
        draw.rectangle((x, y, x + w, y + h), fill=(196, 172, 132), outline=(110, 92, 66), width=3)
        for _ in range(7):
            px, py = luck.uniform(x, x + w * 0.7), luck.uniform(y + h * 0.4, y + h * 0.9)
            draw.polygon(
                [(px, py), (px + w * 0.14, py - h * 0.24), (px + w * 0.28, py)], fill=(124, 100, 68)
            )
        _writing(draw, luck, (x + 40, y + h + 12, x + w - 20, y + h + 44), 1, (70, 56, 40))
    return picture


def album_a() -> Image.Image:
    return _album("album-a")


def album_b() -> Image.Image:
    return _album("album-b")


def squall() -> Image.Image:
    picture, draw, luck = _paper("squall", (170, 168, 160), 40)
    for _ in range(2600):
        x, y = luck.uniform(50, 1150), luck.uniform(50, 850)
        dark = int(40 + 120 * (y / 900) + luck.uniform(-24, 24))
        draw.line(
            (x, y, x + luck.uniform(-40, 10), y + luck.uniform(4, 34)),
            fill=(dark, dark + 8, dark + 20),
            width=luck.randint(2, 7),
        )
    draw.polygon([(50, 850), (50, 640), (1150, 690), (1150, 850)], fill=(60, 76, 84))
    return picture


def chart() -> Image.Image:
    picture, draw, luck = _paper("chart", (230, 216, 180), 50)
    coast: list[tuple[float, float]] = [(50, 560)]
    coast += [(x, 520 + luck.uniform(-90, 90)) for x in range(120, 1160, 50)]
    draw.polygon([*coast, (1150, 850), (50, 850)], fill=(198, 208, 168))
    draw.line(coast, fill=(90, 70, 46), width=4)
    for ray in range(16):
        angle = ray * math.pi / 8
        draw.line((190, 190, 190 + 110 * math.cos(angle), 190 + 110 * math.sin(angle)), INK, 2)
    draw.ellipse((120, 120, 260, 260), outline=(170, 70, 60), width=3)
    for _ in range(40):
        x, y = luck.uniform(320, 1120), luck.uniform(110, 420)
        draw.line((x, y, x + 46, y - 14), fill=(96, 110, 130), width=3)
    for fold in (400, 760):
        draw.line((fold, 50, fold, 850), fill=(196, 178, 138), width=4)
    return picture


def linen() -> Image.Image:
    picture, draw, luck = _paper("linen", (206, 194, 168), 50)
    for x in range(50, 1150, 9):
        draw.line((x, 50, x, 850), fill=(196, 184, 158))
    for y in range(50, 850, 9):
        draw.line((50, y, 1150, y), fill=(198, 186, 160))
    _writing(draw, luck, (100, 90, 420, 160), 1)
    return picture


DRAWINGS: Final[dict[str, Callable[..., Image.Image]]] = {
    drawing.__name__: drawing
    for drawing in (
        diary_a, diary_b, diary_c, cloud, frost, kite_front, kite_back, barometer, card, card_back,
        letter, letter_back, herbarium, album_a, album_b, squall, chart, linen,
    )
}  # fmt: skip


def drawn(name: str, number: int | None = None, *, raking: bool = False) -> bytes:
    """Return the drawing ``name`` as JPEG bytes; ``raking`` shades it as by light from the left."""
    picture = DRAWINGS[name](number) if number is not None else DRAWINGS[name]()
    if raking:
        relief = picture.convert("L").filter(ImageFilter.EMBOSS).convert("RGB")
        picture = Image.blend(picture, relief, 0.45)
    sheet = io.BytesIO()
    picture.save(sheet, "JPEG", quality=84)
    return sheet.getvalue()
