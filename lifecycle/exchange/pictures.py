"""Pictures and scans: bytes in, checked and cleaned bytes out. Writes nothing.

Kept: the original as it came, except that the place where it was taken (GPS) is taken out.
Made from it, upright, without any EXIF, as JPEG: a screen picture of at most 1600 px and a
thumbnail of at most 1200 px on the longer side.
"""

import hashlib
import struct
import warnings
from dataclasses import dataclass
from io import BytesIO
from typing import Final

from PIL import Image, ImageOps, UnidentifiedImageError

MEGABYTE: Final = 1024 * 1024
MAX_BYTES: Final = 25 * MEGABYTE
# 120 million pixels: a 12,000 × 10,000 reprographic master. More is a bomb or a mistake.
MAX_PIXELS: Final = 120_000_000
SCREEN_PX: Final = 1600
THUMBNAIL_PX: Final = 1200
MIMES: Final = {
    "JPEG": ("image/jpeg", "jpg"),
    "PNG": ("image/png", "png"),
    "TIFF": ("image/tiff", "tif"),
    "WEBP": ("image/webp", "webp"),
}
_GPS_IFD: Final = 0x8825

# Pillow's own guard warns at this size and refuses at twice; ours refuses first, in words.
Image.MAX_IMAGE_PIXELS = MAX_PIXELS


class BadPicture(ValueError):
    """The bytes can't be kept as a picture or scan; the text says why and what to do."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckedPicture:
    """An upright picture: its bytes to keep, two smaller ones, and its size in pixels."""

    sha256: str
    mime: str
    suffix: str
    width: int
    height: int
    original: bytes
    screen: bytes
    thumbnail: bytes


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckedDocument:
    """A scan or document to keep as it came."""

    sha256: str
    mime: str
    suffix: str
    data: bytes


def _check_size(data: bytes) -> None:
    if not data:
        raise BadPicture("The file is empty. Choose it again, or take the picture again.")
    if len(data) > MAX_BYTES:
        raise BadPicture(
            f"The file has {len(data) / MEGABYTE:.0f} MB; {MAX_BYTES // MEGABYTE} MB is the most "
            "that can be kept. Save it smaller (JPEG, 20 megapixels will do) and choose it again."
        )


def check_picture(data: bytes) -> CheckedPicture:
    """Return the checked picture with its smaller copies.

    :raises BadPicture: empty, larger than 25 MB, not JPEG, PNG, TIFF or WebP, cut off, or more
        than 120 million pixels
    """
    _check_size(data)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            return _read(data)
    except BadPicture:
        raise
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as error:
        raise BadPicture(_too_many_pixels()) from error
    except UnidentifiedImageError as error:
        raise BadPicture(
            "This file is not a picture we can read. Choose a JPEG, PNG, TIFF or WebP file."
        ) from error
    except (OSError, SyntaxError, ValueError, struct.error, EOFError, MemoryError) as error:
        raise BadPicture(
            "The picture is damaged or cut off: it could not be read to its end. "
            "Copy it from the camera again and choose it again."
        ) from error


def _too_many_pixels() -> str:
    return (
        f"The picture has more than {MAX_PIXELS // 1_000_000} million pixels and was not opened. "
        "Save it smaller and choose it again."
    )


def _read(data: bytes) -> CheckedPicture:
    with Image.open(BytesIO(data), formats=tuple(MIMES)) as image:
        kind = str(image.format)
        if image.width * image.height > MAX_PIXELS:
            raise BadPicture(_too_many_pixels())
        turned = image.getexif().get(0x0112, 1) in {5, 6, 7, 8}
        width, height = image.size
        if turned:
            width, height = height, width
        has_place = _has_place(image, data)
        # A JPEG is decoded at a half, a quarter or an eighth of its size where that is enough.
        image.draft("RGB", (SCREEN_PX, SCREEN_PX))
        upright = _on_white(ImageOps.exif_transpose(image))
    screen = _shrunk(upright, SCREEN_PX, quality=88)
    thumbnail = _shrunk(upright, THUMBNAIL_PX, quality=82)
    original = _without_place(data, kind) if has_place else data
    if original is not data and not original.startswith(b"\xff\xd8"):
        kind = "PNG"
    mime, suffix = MIMES[kind]
    return CheckedPicture(
        sha256=hashlib.sha256(original).hexdigest(),
        mime=mime,
        suffix=suffix,
        width=width,
        height=height,
        original=original,
        screen=screen,
        thumbnail=thumbnail,
    )


def _on_white(image: Image.Image) -> Image.Image:
    """RGB on white ground: paper is what shows through a transparent picture."""
    if image.mode in {"RGBA", "LA", "PA"} or "transparency" in image.info:
        see_through = image.convert("RGBA")
        ground = Image.new("RGBA", see_through.size, "white")
        ground.alpha_composite(see_through)
        return ground.convert("RGB")
    if image.mode in {"I;16", "I;16B", "I;16L", "I"}:  # 16-bit grey, as from a scanner
        return image.point(lambda level: level / 256).convert("L").convert("RGB")
    return image.convert("RGB")


def _shrunk(upright: Image.Image, longest: int, *, quality: int) -> bytes:
    smaller = upright.copy()
    smaller.thumbnail((longest, longest), Image.Resampling.LANCZOS)
    out = BytesIO()
    smaller.save(out, "JPEG", quality=quality, optimize=True)  # no EXIF is passed on
    return out.getvalue()


def _has_place(image: Image.Image, data: bytes) -> bool:
    return _GPS_IFD in image.getexif() or b"GPSLatitude" in data or b"GPSLongitude" in data


def _without_place(data: bytes, kind: str) -> bytes:
    """Take the place out: a JPEG keeps its very pixels, other kinds are saved anew as PNG."""
    if kind == "JPEG":
        return _jpeg_without_place(data)
    with Image.open(BytesIO(data), formats=tuple(MIMES)) as image:
        upright = ImageOps.exif_transpose(image)
        out = BytesIO()
        kept = upright if upright.mode in {"1", "L", "LA", "P", "RGB", "RGBA", "I;16"} else None
        (kept or upright.convert("RGB")).save(out, "PNG", exif=b"")
    return out.getvalue()


def _jpeg_without_place(data: bytes) -> bytes:
    """Rewrite the header segments only (ISO/IEC 10918-1 B.1.1): EXIF without GPS, no GPS in XMP."""
    out, position = bytearray(data[:2]), 2
    while position + 4 <= len(data) and data[position] == 0xFF and data[position + 1] != 0xDA:
        marker = data[position + 1]
        length = struct.unpack(">H", data[position + 2 : position + 4])[0]
        body = data[position + 4 : position + 2 + length]
        if marker == 0xE1 and body.startswith(b"Exif\x00\x00"):
            exif = Image.Exif()
            exif.load(body)
            del exif[_GPS_IFD]
            body = exif.tobytes()
        if not (marker == 0xE1 and b"GPSL" in body):
            out += struct.pack(">BBH", 0xFF, marker, len(body) + 2) + body
        position += 2 + length
    return bytes(out) + data[position:]


def check_document(data: bytes) -> CheckedDocument:
    """Return a checked scan: PDF, JPEG or PNG.

    :raises BadPicture: empty, larger than 25 MB, or not one of the three kinds
    """
    _check_size(data)
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
