"""Where kept files lie, and what of them may be handed out."""

from collections.abc import Iterable, Iterator
from typing import Final, Literal
from zipfile import BadZipFile, ZipFile

from django.core.files.storage import default_storage

from lifecycle.records.models.pictures import Document, Picture
from lifecycle.records.models.work import Work, WorkKind

Size = Literal["original", "screen", "thumbnail"]
SIZES: Final[tuple[Size, ...]] = ("original", "screen", "thumbnail")
SUFFIXES: Final = {
    "image/jpeg": "jpg",
    "image/png": "png",
    "image/tiff": "tif",
    "image/webp": "webp",
    "image/heic": "heic",
    "application/pdf": "pdf",
}
#: The longer side of the picture that pages show first, in pixels.
SCREEN_PX: Final = 1600
#: The side of a part of a level, in pixels.
TILE_PX: Final = 512


def levels_in(width: int, height: int) -> int:
    """How many levels a picture has; 0 when the screen picture is the whole of it.

    >>> levels_in(1600, 900), levels_in(1601, 900), levels_in(12_000, 9000)
    (0, 1, 3)
    """
    levels, longest = 0, max(width, height)
    while longest > SCREEN_PX:
        levels, longest = levels + 1, -(-longest // 2)
    return levels


def levels_path(sha256: str) -> str:
    """Return the storage name of the levels of a picture: one ZIP file with all parts."""
    return f"pictures/{sha256[:2]}/{sha256}/levels.zip"


def levels_made(picture: Picture) -> int:
    """Return how many levels of a picture can be handed out: 0 until the worker has made them."""
    levels = levels_in(picture.width, picture.height)
    return levels if levels and default_storage.exists(levels_path(picture.sha256)) else 0


def tile_name(level: int, column: int, row: int) -> str:
    """Return the name of one part inside the levels of a picture."""
    return f"{level}/{column}-{row}.jpg"


def tile_bytes(picture: Picture, level: int, column: int, row: int) -> bytes:
    """Return one part of a level, as JPEG.

    :raises FileNotFoundError: no such part, or the levels are not made yet
    """
    with default_storage.open(levels_path(picture.sha256)) as file:
        try:
            with ZipFile(file) as levels:
                return levels.read(tile_name(level, column, row))
        except (KeyError, BadZipFile) as error:
            raise FileNotFoundError(tile_name(level, column, row)) from error


def picture_path(sha256: str, size: Size, mime: str) -> str:
    """Return the storage name of one size of a picture; smaller copies are JPEG."""
    suffix = SUFFIXES[mime] if size == "original" else "jpg"
    return f"pictures/{sha256[:2]}/{sha256}/{size}.{suffix}"


def document_path(sha256: str, mime: str) -> str:
    return f"documents/{sha256[:2]}/{sha256}.{SUFFIXES[mime]}"


def picture_bytes(picture: Picture, size: Size = "screen") -> bytes:
    """Return the bytes of a kept picture, for pages and papers.

    :raises FileNotFoundError: if the file store has lost it
    """
    with default_storage.open(picture_path(picture.sha256, size, picture.mime)) as file:
        return bytes(file.read())


def document_bytes(document: Document) -> bytes:
    """Return the bytes of a kept scan.

    :raises FileNotFoundError: if the file store has lost it
    """
    with default_storage.open(document_path(document.sha256, document.mime)) as file:
        return bytes(file.read())


def copies_missing(picture: Picture) -> bool:
    """Whether something that the worker makes of a picture is not there."""
    wanted = [
        picture_path(picture.sha256, "screen", picture.mime),
        picture_path(picture.sha256, "thumbnail", picture.mime),
    ]
    if levels_in(picture.width, picture.height):
        wanted.append(levels_path(picture.sha256))
    return not all(default_storage.exists(path) for path in wanted)


def copies_work(picture: Picture) -> Work | None:
    """Return the last piece of work that made, or is to make, the copies of a picture."""
    asked = Work.objects.filter(
        kind=WorkKind.PICTURE_COPIES, key__startswith=f"picture/{picture.sha256}/"
    )
    return asked.order_by("-pk").first()


def picture_of(sha256: str) -> Picture | None:
    """Return the first row of a picture by its content."""
    return Picture.objects.filter(sha256=sha256).order_by("pk").first()


def document_of(sha256: str) -> Document | None:
    return Document.objects.filter(sha256=sha256).order_by("pk").first()


def named_by_no_row(files: Iterable[str]) -> list[str]:
    """Return those of some files of the store that belong to no picture and no scan on record.

    Files of another kind are left out; two queries where there is anything to ask.
    """
    digests = {
        name: name.split("/")[2].partition(".")[0]
        for name in files
        if name.startswith(("pictures/", "documents/"))
    }
    if not digests:
        return []
    wanted = set(digests.values())
    named = set(Picture.objects.filter(sha256__in=wanted).values_list("sha256", flat=True))
    named |= set(Document.objects.filter(sha256__in=wanted).values_list("sha256", flat=True))
    return [name for name, digest in digests.items() if digest not in named]


def stored_files(folder: str = "") -> Iterator[str]:
    """Yield every file of the store by its name there; names with a dot before are unfinished."""
    try:
        folders, files = default_storage.listdir(folder)
    except FileNotFoundError:
        return
    for name in files:
        if name.startswith("."):
            continue
        yield f"{folder}/{name}" if folder else name
    for name in folders:
        yield from stored_files(f"{folder}/{name}" if folder else name)
