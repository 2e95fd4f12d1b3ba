"""Is a big picture whole? Found out from its parts, without holding its pixels in memory.

A small picture is decoded to its end instead, which finds more; a big one is decoded in the worker.
"""

import struct
import zlib
from typing import IO, Final

from PIL import Image

from lifecycle.exchange.pictures.kinds import cut_off

# PNG 1.2, section 2.2: samples in a pixel for each colour type.
_SAMPLES: Final = {0: 1, 2: 3, 3: 1, 4: 2, 6: 4}
# PNG 1.2, section 2.6: first column, first row, step of columns, step of rows of the seven passes.
_PASSES: Final = (
    (0, 0, 8, 8),
    (4, 0, 8, 8),
    (0, 4, 4, 8),
    (2, 0, 4, 4),
    (0, 2, 2, 4),
    (1, 0, 2, 2),
    (0, 1, 1, 2),
)
_PIECE: Final = 1 << 18


def check_whole(file: IO[bytes], image: Image.Image) -> None:
    """Check that every part the file announces is there.

    :raises BadPicture: a part is missing, or a PNG holds less than its size says
    """
    file.seek(0, 2)
    size = file.tell()
    if image.format == "PNG":
        _png(file)
    elif image.format == "TIFF":
        _tiff(image, size)
    elif image.format == "WEBP":
        file.seek(4)
        if struct.unpack("<I", file.read(4))[0] + 8 > size:
            raise cut_off()
    elif image.format == "HEIF":
        _boxes(file, size)


def _png(file: IO[bytes]) -> None:
    """Unpack the pixels piece by piece, and count them against the header."""
    file.seek(16)
    width, height, depth, colour, _, _, interlaced = struct.unpack(">IIBBBBB", file.read(13))
    bits = depth * _SAMPLES.get(colour, 4)
    missing = _png_bytes(width, height, bits, interlaced == 1)
    unpack = zlib.decompressobj()
    at = 8
    while missing > 0:
        file.seek(at)
        head = file.read(8)
        if len(head) < 8:
            raise cut_off()
        length, name = struct.unpack(">I4s", head)
        if name == b"IEND":
            raise cut_off()
        at += 12 + length
        while name == b"IDAT" and length > 0 and missing > 0:
            piece = file.read(min(length, _PIECE))
            if not piece:
                raise cut_off()
            length -= len(piece)
            # Never more than a piece at a time: a bomb is as small in memory as a picture.
            while piece and missing > 0:
                try:
                    missing -= len(unpack.decompress(piece, _PIECE))
                except zlib.error as error:
                    raise cut_off() from error
                piece = unpack.unconsumed_tail


def _png_bytes(width: int, height: int, bits: int, interlaced: bool) -> int:
    """Bytes of all rows, each with its filter byte."""
    if not interlaced:
        return height * (1 + (width * bits + 7) // 8)
    total = 0
    for first_column, first_row, columns, rows in _PASSES:
        across = max(0, -(-(width - first_column) // columns))
        down = max(0, -(-(height - first_row) // rows))
        total += down * (1 + (across * bits + 7) // 8) if across else 0
    return total


def _tiff(image: Image.Image, size: int) -> None:
    """Every strip or tile lies inside the file (TIFF 6.0, tags 273 and 279, 324 and 325)."""
    tags = image.tag_v2  # type: ignore[attr-defined]
    for offsets, counts in ((273, 279), (324, 325)):
        if offsets in tags and counts in tags:
            ends = (at + count for at, count in zip(tags[offsets], tags[counts], strict=True))
            if max(ends, default=0) > size:
                raise cut_off()


def _boxes(file: IO[bytes], size: int) -> None:
    """The boxes of the container end where the file ends (ISO/IEC 14496-12, 4.2)."""
    at = 0
    while at < size:
        file.seek(at)
        head = file.read(16)
        if len(head) < 8:
            raise cut_off()
        length = struct.unpack(">I", head[:4])[0]
        if length == 1 and len(head) == 16:
            length = struct.unpack(">Q", head[8:])[0]
        if length == 0:
            return
        at += length
        if length < 8 or at > size:
            raise cut_off()
