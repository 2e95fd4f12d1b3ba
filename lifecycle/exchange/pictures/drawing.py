"""Pixels for screens: on white ground, upright, as JPEG, in the colours they were taken in."""

from io import BytesIO
from typing import Final

from PIL import Image

from lifecycle.exchange.pictures.kinds import turned
from lifecycle.queries.pictures import SCREEN_PX

THUMBNAIL_PX: Final = 1200
#: A colour profile longer than this is not passed on to every small part.
MOST_PROFILE: Final = 64 * 1024
Box = tuple[int, int, int, int]

#: What turns a picture upright, by the camera's orientation (EXIF 2.3, tag 0x0112).
_TURNS: Final = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}


def on_white(image: Image.Image) -> Image.Image:
    """RGB on white ground: paper is what shows through a transparent picture."""
    if image.mode in {"RGBA", "LA", "PA"} or "transparency" in image.info:
        see_through = image.convert("RGBA")
        ground = Image.new("RGBA", see_through.size, "white")
        ground.alpha_composite(see_through)
        return ground.convert("RGB")
    if image.mode in {"I;16", "I;16B", "I;16L", "I"}:  # 16-bit grey, as from a scanner
        return image.point(lambda level: level / 256).convert("L").convert("RGB")
    return image.convert("RGB")


def upright(image: Image.Image, taken: Image.Image) -> Image.Image:
    """The image turned the way ``taken`` says the camera was held."""
    turn = _TURNS.get(turned(taken))
    return image if turn is None else image.transpose(turn)


def box_as_taken(box: Box, size: tuple[int, int], orientation: int) -> Box:
    """Where a box of the upright picture lies in the picture as it was taken.

    ``box`` is left, top, right, bottom in pixels; ``size`` is width and height as taken.
    """
    left, top, right, bottom = box
    width, height = size
    return {
        1: (left, top, right, bottom),
        2: (width - right, top, width - left, bottom),
        3: (width - right, height - bottom, width - left, height - top),
        4: (left, height - bottom, right, height - top),
        5: (top, left, bottom, right),
        6: (top, height - right, bottom, height - left),
        7: (width - bottom, height - right, width - top, height - left),
        8: (width - bottom, left, width - top, right),
    }[orientation]


def profile_of(image: Image.Image) -> bytes | None:
    """The picture's colour profile, where it fits what we draw (ICC.1, bytes 16 to 19)."""
    profile = image.info.get("icc_profile")
    fits = isinstance(profile, bytes) and profile[16:20] == b"RGB " and len(profile) <= MOST_PROFILE
    return profile if fits else None


def screen_and_thumbnail(image: Image.Image, profile: bytes | None) -> tuple[bytes, bytes]:
    """Screen picture and thumbnail of an upright picture, which shrinks to the first of them."""
    image.thumbnail((SCREEN_PX, SCREEN_PX), Image.Resampling.LANCZOS)
    thumbnail = image.copy()
    thumbnail.thumbnail((THUMBNAIL_PX, THUMBNAIL_PX), Image.Resampling.LANCZOS)
    return (
        as_jpeg(image, quality=88, profile=profile),
        as_jpeg(thumbnail, quality=82, profile=profile),
    )


def as_jpeg(image: Image.Image, *, quality: int, profile: bytes | None) -> bytes:
    """The image as JPEG without any notes of the camera."""
    out = BytesIO()
    image.save(out, "JPEG", quality=quality, optimize=True, icc_profile=profile)
    return out.getvalue()
