"""What can be kept as a picture: kinds, limits, and how each kind is opened."""

import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from io import BytesIO
from typing import IO, Any, Final

from PIL import Image, UnidentifiedImageError

try:
    from pi_heif import register_heif_opener
except ImportError:  # no wheel for this machine: such a file is refused, in words
    READS_HEIC = False
else:
    register_heif_opener()
    READS_HEIC = True

MEGABYTE: Final = 1024 * 1024
#: 100 million pixels of three colours without compression are 287 MB.
MAX_BYTES: Final = 400 * MEGABYTE
#: 120 million pixels: a 12,000 × 10,000 reprographic master. More is a bomb or a mistake.
MAX_PIXELS: Final = 120_000_000
KINDS: Final = {
    "JPEG": ("image/jpeg", "jpg"),
    "PNG": ("image/png", "png"),
    "TIFF": ("image/tiff", "tif"),
    "WEBP": ("image/webp", "webp"),
    "HEIF": ("image/heic", "heic"),
}
ORIENTATION: Final = 0x0112
#: How whole files of these kinds begin: what begins so and can't be read is damaged.
_STARTS: Final = (b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n", b"II*\0", b"MM\0*", b"II+\0", b"MM\0+")
_HEIC_BRANDS: Final = {b"heic", b"heix", b"hevc", b"heim", b"heis", b"mif1", b"msf1"}

# Pillow's own guard warns at this size and refuses at twice; ours refuses first, in words.
Image.MAX_IMAGE_PIXELS = MAX_PIXELS

Source = bytes | IO[bytes]


class BadPicture(ValueError):
    """The bytes can't be kept as a picture or scan; the text says why and what to do."""


def too_many_pixels() -> BadPicture:
    return BadPicture(
        f"The picture has more than {MAX_PIXELS // 1_000_000} million pixels and was not opened. "
        "Save it smaller and choose it again."
    )


def cut_off() -> BadPicture:
    return BadPicture(
        "The picture is damaged or cut off: it could not be read to its end. "
        "Copy it from the camera again and choose it again."
    )


def as_file(source: Source) -> IO[bytes]:
    """The source as a file that stands at its beginning."""
    if isinstance(source, bytes):
        return BytesIO(source)
    source.seek(0)
    return source


@contextmanager
def opened(file: IO[bytes]) -> Iterator[Image.Image]:
    """Open a picture without decoding it; what Pillow says about it becomes words of ours.

    :raises BadPicture: not one of the kinds, more than 120 million pixels, or damaged
    """
    file.seek(0)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            # Odd notes of a scanner's software are no reason to lose its picture.
            warnings.filterwarnings("ignore", module="PIL", category=UserWarning)
            kinds = [kind for kind in KINDS if kind != "HEIF" or READS_HEIC]
            with Image.open(file, formats=kinds) as image:
                if image.width * image.height > MAX_PIXELS:
                    raise too_many_pixels()
                yield image
    except BadPicture:
        raise
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as error:
        raise too_many_pixels() from error
    except UnidentifiedImageError as error:
        raise _unknown(file) from error
    except (OSError, SyntaxError, ValueError, ArithmeticError, LookupError, EOFError) as error:
        raise cut_off() from error
    except (TypeError, AttributeError, MemoryError, RuntimeError) as error:
        # Parts that contradict each other break the reader in places of its own.
        raise cut_off() from error


def _unknown(file: IO[bytes]) -> BadPicture:
    file.seek(0)
    head = file.read(16)
    heic = head[4:8] == b"ftyp" and head[8:12] in _HEIC_BRANDS
    if heic and not READS_HEIC:
        return BadPicture(
            "This looks like a HEIC picture, which this installation can't read. "
            "Save it as JPEG on the telephone and choose it again."
        )
    if heic or head.startswith(_STARTS) or (head[:4] == b"RIFF" and head[8:12] == b"WEBP"):
        return cut_off()
    return BadPicture(
        "This file is not a picture we can read. Choose a JPEG, PNG, TIFF, WebP or HEIC file."
    )


def kind_of(image: Image.Image) -> str:
    """The kind by which a picture is kept; a JPEG with a second picture behind it is a JPEG."""
    return "JPEG" if image.format == "MPO" else str(image.format)


def turned(image: Image.Image) -> int:
    """How the pixels have still to be turned: the camera's orientation, 1 to 8 (EXIF 2.3, 0x0112).

    1 when it says nothing useful, and for a TIFF, which Pillow turns by itself.
    """
    if image.format == "TIFF":
        return 1
    asked: Any = image.getexif().get(ORIENTATION, 1)
    return asked if asked in range(1, 9) else 1


def upright_size(image: Image.Image) -> tuple[int, int]:
    """Width and height in pixels as the picture is seen."""
    width, height = image.size
    return (height, width) if turned(image) >= 5 else (width, height)
