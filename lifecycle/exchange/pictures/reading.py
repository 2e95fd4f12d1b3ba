"""Bytes that claim to be a picture or a scan: checked, measured, freed of the place they say.

Kept is the file as it came; only where it says where it was taken, those bytes are blanked. Made
from it, upright, as JPEG with no notes of the camera: a screen picture of at most 1600 px and a
thumbnail of at most 1200 px on the longer side, at once where that takes little memory.
"""

import hashlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from io import BytesIO
from typing import IO, Final

from PIL import Image

from lifecycle.exchange.pictures.drawing import (
    on_white,
    profile_of,
    screen_and_thumbnail,
    upright,
)
from lifecycle.exchange.pictures.kinds import (
    KINDS,
    MAX_BYTES,
    MEGABYTE,
    BadPicture,
    Source,
    as_file,
    kind_of,
    opened,
    upright_size,
)
from lifecycle.exchange.pictures.place import GPS, Patch, chunks, place_patches
from lifecycle.exchange.pictures.whole import check_whole
from lifecycle.queries.pictures import SCREEN_PX

MAX_SCAN_BYTES: Final = 25 * MEGABYTE
#: Up to here a picture is decoded while its sender waits (about 100 MB of memory).
AT_ONCE_PIXELS: Final = 25_000_000


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckedPicture:
    """A picture that may be kept; ``screen`` and ``thumbnail`` are None when it is a big one.

    ``width`` and ``height`` are in pixels, as the picture is seen upright.
    """

    sha256: str
    mime: str
    suffix: str
    width: int
    height: int
    size_bytes: int
    screen: bytes | None
    thumbnail: bytes | None
    file: IO[bytes]
    patches: Sequence[Patch]

    def pieces(self) -> Iterator[bytes]:
        """The bytes to keep, in pieces."""
        return chunks(self.file, self.patches)

    @property
    def original(self) -> bytes:
        return b"".join(self.pieces())


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckedDocument:
    """A scan or document to keep as it came."""

    sha256: str
    mime: str
    suffix: str
    data: bytes


def _check_size(size: int, most: int, advice: str) -> None:
    if not size:
        raise BadPicture("The file is empty. Choose it again, or take the picture again.")
    if size > most:
        raise BadPicture(
            f"The file has {size / MEGABYTE:.0f} MB; {most // MEGABYTE} MB is the most "
            f"that can be kept. Save it smaller ({advice}) and choose it again."
        )


def check_picture(source: Source) -> CheckedPicture:
    """Return the checked picture; a JPEG or a picture of up to 25 megapixels with its copies.

    :raises BadPicture: empty, larger than 400 MB, not JPEG, PNG, TIFF, WebP or HEIC, cut off, or
        more than 120 million pixels
    """
    file = as_file(source)
    file.seek(0, 2)
    size = file.tell()
    _check_size(size, MAX_BYTES, "packed, or with fewer pixels")
    screen = thumbnail = None
    with opened(file) as image:
        kind = kind_of(image)
        width, height = upright_size(image)
        if image.format in {"JPEG", "MPO"} or width * height <= AT_ONCE_PIXELS:
            screen, thumbnail = _copies(image)
        else:
            check_whole(file, image)
        patches = place_patches(file, kind)
    if patches and size <= MAX_SCAN_BYTES:
        _look_again(b"".join(chunks(file, patches)))
    found = hashlib.sha256()
    for piece in chunks(file, patches):
        found.update(piece)
    mime, suffix = KINDS[kind]
    return CheckedPicture(
        sha256=found.hexdigest(),
        mime=mime,
        suffix=suffix,
        width=width,
        height=height,
        size_bytes=size,
        screen=screen,
        thumbnail=thumbnail,
        file=file,
        patches=patches,
    )


def _copies(image: Image.Image) -> tuple[bytes, bytes]:
    """Screen picture and thumbnail; reads the picture to its end."""
    profile = profile_of(image)
    # A JPEG is decoded at a half, a quarter or an eighth of its size where that is enough.
    image.draft("RGB", (SCREEN_PX, SCREEN_PX))
    return screen_and_thumbnail(upright(on_white(image), image), profile)


def _look_again(data: bytes) -> None:
    """Blanking must leave a picture that can be read and says nothing of a place."""
    with opened(BytesIO(data)) as image:
        if GPS in image.getexif():
            raise BadPicture(
                "The picture says where it was taken, in a way that could not be taken out. "
                "Switch the place off in the camera, or save the picture anew as JPEG or TIFF."
            )


def check_document(source: Source) -> CheckedDocument:
    """Return a checked scan: PDF, JPEG or PNG.

    :raises BadPicture: empty, larger than 25 MB, or not one of the three kinds
    """
    file = as_file(source)
    file.seek(0, 2)
    _check_size(file.tell(), MAX_SCAN_BYTES, "JPEG, 20 megapixels will do")
    file.seek(0)
    data = file.read()
    if data.startswith(b"%PDF-"):
        if b"%%EOF" not in data[-2048:]:
            raise BadPicture("The PDF is cut off: its end is missing. Scan or copy it again.")
        digest = hashlib.sha256(data).hexdigest()
        return CheckedDocument(sha256=digest, mime="application/pdf", suffix="pdf", data=data)
    if data.startswith((b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n")):
        picture = check_picture(data)
        return CheckedDocument(
            sha256=picture.sha256,
            mime=picture.mime,
            suffix=picture.suffix,
            data=picture.original,
        )
    raise BadPicture("A scan must be a PDF, JPEG or PNG file. Choose another file.")
