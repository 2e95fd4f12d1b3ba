"""Where kept files lie, and what of them may be handed out."""

from collections.abc import Iterator
from typing import Final, Literal

from django.core.files.storage import default_storage

from lifecycle.records.models.pictures import Document, Picture

Size = Literal["original", "screen", "thumbnail"]
SIZES: Final[tuple[Size, ...]] = ("original", "screen", "thumbnail")
SUFFIXES: Final = {
    "image/jpeg": "jpg",
    "image/png": "png",
    "image/tiff": "tif",
    "image/webp": "webp",
    "application/pdf": "pdf",
}


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


def picture_of(sha256: str) -> Picture | None:
    """Return the first row of a picture by its content."""
    return Picture.objects.filter(sha256=sha256).order_by("pk").first()


def document_of(sha256: str) -> Document | None:
    return Document.objects.filter(sha256=sha256).order_by("pk").first()


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
