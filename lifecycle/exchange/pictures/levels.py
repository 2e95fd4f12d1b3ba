"""Levels: a big picture cut into small parts, at its full size and at halves of it.

Level 0 is the picture in its own pixels, each further level half as wide; the last one is still
wider than the screen picture. Parts are squares of 512 px (smaller at the right and lower edge),
numbered by column and row from the top left. All of them lie in one ZIP file, not packed again.
"""

import threading
from collections.abc import Callable
from typing import IO, Final
from zipfile import ZIP_STORED, ZipFile, ZipInfo

from PIL import Image

from lifecycle.exchange.pictures.drawing import (
    Box,
    as_jpeg,
    box_as_taken,
    on_white,
    profile_of,
    screen_and_thumbnail,
    upright,
)
from lifecycle.exchange.pictures.kinds import opened, turned, upright_size
from lifecycle.queries.pictures import TILE_PX, levels_in, tile_name

QUALITY: Final = 85
#: One picture at a time in a process: two big ones together would need twice the memory.
_ONE_AT_A_TIME = threading.Lock()
PATIENCE_S: Final = 20.0

#: Called with parts done and parts in all; it may raise to stop the work.
Telling = Callable[[int, int], None]


def parts_in(width: int, height: int) -> int:
    """How many parts all levels of a picture have.

    >>> parts_in(1600, 900), parts_in(2048, 1024)
    (0, 8)
    """
    total = 0
    for _ in range(levels_in(width, height)):
        total += -(-width // TILE_PX) * -(-height // TILE_PX)
        width, height = -(-width // 2), -(-height // 2)
    return total


def draw_levels(file: IO[bytes], target: IO[bytes], tell: Telling) -> tuple[bytes, bytes]:
    """Write all levels into ``target`` as ZIP; return the screen picture and the thumbnail.

    Memory: the decoded picture and one of a quarter of its pixels.

    :raises BadPicture: if the file can't be read to its end
    """
    while not _ONE_AT_A_TIME.acquire(timeout=PATIENCE_S):
        tell(0, 1)
    try:
        with opened(file) as image, ZipFile(target, "w", ZIP_STORED) as levels:
            return _draw(image, levels, tell)
    finally:
        _ONE_AT_A_TIME.release()


def _draw(image: Image.Image, levels: ZipFile, tell: Telling) -> tuple[bytes, bytes]:
    width, height = upright_size(image)
    profile, total, done = profile_of(image), parts_in(width, height), 0
    image.load()
    seen: Image.Image | None = None  # the level above, once there is one

    def part(box: Box) -> Image.Image:
        if seen is not None:
            return seen.crop(box)
        return upright(on_white(image.crop(box_as_taken(box, image.size, turned(image)))), image)

    for level in range(levels_in(width, height)):
        half = Image.new("RGB", (-(-width // 2), -(-height // 2)))
        for top in range(0, height, TILE_PX):
            for left in range(0, width, TILE_PX):
                tile = part((left, top, min(left + TILE_PX, width), min(top + TILE_PX, height)))
                name = tile_name(level, left // TILE_PX, top // TILE_PX)
                levels.writestr(ZipInfo(name), as_jpeg(tile, quality=QUALITY, profile=profile))
                half.paste(tile.reduce(2), (left // 2, top // 2))
                done += 1
            tell(done, total)
        seen, (width, height) = half, half.size
    return screen_and_thumbnail(part((0, 0, width, height)), profile)
