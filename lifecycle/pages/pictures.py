"""Hand out kept pictures and scans: to people who are signed in and may see the object."""

from typing import Final
from urllib.parse import quote
from uuid import UUID

from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.views.decorators.http import require_GET

from lifecycle.actions.refusals import NotAllowed
from lifecycle.actions.work.rows import OPEN
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.papers.drawing.laid_over import Finer
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.queries.pictures import (
    SIZES,
    SUFFIXES,
    TILE_PX,
    Size,
    copies_work,
    document_bytes,
    document_of,
    levels_made,
    picture_bytes,
    picture_of,
    tile_bytes,
)
from lifecycle.queries.preparation.cases import is_layout_for
from lifecycle.queries.rights import about_object, may_see_objects
from lifecycle.records.models import MuseumObject
from lifecycle.records.models.pictures import Document, Picture

# The content of an address never changes, but who may see it does: the browser keeps it, privately.
CACHE: Final = "private, max-age=604800, immutable"


STAFF: Final = frozenset(
    {
        Role.CONSERVATOR,
        Role.CURATOR,
        Role.REGISTRAR,
        Role.EXHIBITION_MANAGER,
        Role.HEAD_OF_COLLECTIONS,
        Role.STEWARD,
    }
)


def picture_address(picture: Picture, size: Size = "screen") -> str:
    return reverse("picture", kwargs={"uid": picture.uid, "size": size})


def finer_of(picture: Picture) -> Finer | None:
    """Where the viewer finds finer parts of a picture; None while the screen picture is all."""
    levels = levels_made(picture)
    if not levels:
        return None
    first = reverse("picture-part", args=[picture.uid, 0, 0, 0])
    address = first.removesuffix("0/0-0/") + "{level}/{column}-{row}/"
    return Finer(address, TILE_PX, levels)


def _hand_out(data: bytes, mime: str) -> HttpResponse:
    answer = HttpResponse(data, content_type=mime)
    answer["Cache-Control"] = CACHE
    answer["X-Content-Type-Options"] = "nosniff"
    # A scan is somebody's file: nothing in it may run in our page.
    answer["Content-Security-Policy"] = "default-src 'none'; style-src 'unsafe-inline'; sandbox"
    return answer


def may_see_picture(request: SignedInRequest, museum_object: MuseumObject | None) -> None:
    """Pictures of no object are of the house: everybody who is signed in sees them.

    :raises NotAllowed: if this person may not see the object
    """
    if museum_object is None:
        return
    seen = may_see_objects(request.facts, MuseumObject.objects.filter(pk=museum_object.pk))
    if not seen.exists():
        request.role_for(Deed.SEE_SHOWING, about_object(museum_object))


@require_GET
@signed_in
def picture(request: SignedInRequest, uid: UUID, size: str = "screen") -> HttpResponse:
    """One size of a kept picture.

    :raises Http404: unknown picture or size, or the file store has lost it
    :raises NotAllowed: if this person may not see the object on it
    """
    kept = get_object_or_404(Picture.objects.select_related("museum_object"), uid=uid)
    return _picture(request, kept, size)


@require_GET
@signed_in
def picture_by_content(request: SignedInRequest, sha256: str, size: str) -> HttpResponse:
    """The same, addressed by the SHA-256 that stands in a signed record."""
    kept = picture_of(sha256)
    if kept is None:
        raise Http404
    return _picture(request, kept, size)


def _picture(request: SignedInRequest, kept: Picture, size: str) -> HttpResponse:
    wanted = next((known for known in SIZES if known == size), None)
    if wanted is None:
        raise Http404
    may_see_picture(request, kept.museum_object)
    try:
        data = picture_bytes(kept, wanted)
    except FileNotFoundError as lost:
        return _not_there_yet(kept, wanted, lost)
    answer = _hand_out(data, kept.mime if wanted == "original" else "image/jpeg")
    if wanted == "original":
        name = quote(f"{kept.name.rpartition('.')[0] or kept.name}.{SUFFIXES[kept.mime]}")
        answer["Content-Disposition"] = f"inline; filename*=UTF-8''{name}"
    return answer


def _not_there_yet(kept: Picture, size: Size, lost: FileNotFoundError) -> HttpResponse:
    """While the worker makes the copies of a big picture, a word in its place; then ask again."""
    work = copies_work(kept)
    if size == "original" or work is None:
        raise Http404 from lost
    said = "being made ready" if work.state in OPEN else "can’t be shown"
    drawn = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {kept.width} {kept.height}">'
        '<rect width="100%" height="100%" fill="#777"/><text x="50%" y="50%" fill="#fff" '
        f'font-family="sans-serif" text-anchor="middle" font-size="{kept.width // 20}">{said}'
        "</text></svg>"
    )
    answer = _hand_out(drawn.encode(), "image/svg+xml")
    answer["Cache-Control"] = "no-store"
    return answer


@require_GET
@signed_in
def picture_part(
    request: SignedInRequest, uid: UUID, level: int, column: int, row: int
) -> HttpResponse:
    """One part of a level of a big picture, for looking closer.

    :raises Http404: unknown picture or part, or its levels are not made yet
    :raises NotAllowed: if this person may not see the object on it
    """
    kept = get_object_or_404(Picture.objects.select_related("museum_object"), uid=uid)
    may_see_picture(request, kept.museum_object)
    try:
        data = tile_bytes(kept, level, column, row)
    except FileNotFoundError as lost:
        raise Http404 from lost
    return _hand_out(data, "image/jpeg")


@require_GET
@signed_in
def document(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """A kept scan or document.

    :raises Http404: unknown document, or the file store has lost it
    """
    kept = get_object_or_404(Document, uid=uid)
    return _document(request, kept)


@require_GET
@signed_in
def document_by_content(request: SignedInRequest, sha256: str) -> HttpResponse:
    kept = document_of(sha256)
    if kept is None:
        raise Http404
    return _document(request, kept)


def may_read_scan(request: SignedInRequest, kept: Document) -> bool:
    """Scans may hold what only staff may read; others see their own."""
    return bool(request.facts.roles & STAFF) or kept.entered_by_id == request.person.pk


def _document(request: SignedInRequest, kept: Document) -> HttpResponse:
    """A scan, or the layout of a case for whoever works by it."""
    if not (may_read_scan(request, kept) or is_layout_for(request.facts, kept)):
        raise NotAllowed(f"{request.person} may not read “{kept}”; ask the registrar.")
    try:
        data = document_bytes(kept)
    except FileNotFoundError as lost:
        raise Http404 from lost
    answer = _hand_out(data, kept.mime)
    answer["Content-Disposition"] = "inline"
    return answer
