"""Is everything that was kept still what was kept? Signed records, pictures, scans.

Everything that stood at one moment is put in one fixed order, so that a check can be taken up
again where a killed worker left it.
"""

import hashlib
from collections.abc import Iterator
from datetime import datetime
from itertools import chain, islice
from typing import Any

from django.core.files.storage import default_storage
from django.db.models import QuerySet

from lifecycle.queries.pictures import document_path, picture_path
from lifecycle.queries.signed_text.kind import SignedKind
from lifecycle.queries.signed_text.registry import KINDS, all_signed, faults_of
from lifecycle.records.models.pictures import Document, Picture

Step = tuple[SignedKind | None, "QuerySet[Any]"]


def _steps(at: datetime) -> list[Step]:
    signed: list[Step] = [
        (kind, kind.model._default_manager.exclude(digest="").filter(signed_at__lte=at))
        for kind in KINDS
    ]
    return [
        *signed,
        (None, Picture.objects.filter(entered_at__lte=at)),
        (None, Document.objects.filter(entered_at__lte=at)),
    ]


def how_many(*, at: datetime) -> int:
    """How many records and files there were to check at a moment."""
    return sum(rows.count() for _, rows in _steps(at))


def faults(*, at: datetime, start: int, most: int) -> list[str]:
    """Check ``most`` of the records and files from position ``start``; what is wrong, in words."""
    return list(chain.from_iterable(islice(_checks(at, start), most)))


def signed_faults() -> tuple[int, list[str]]:
    """Check every signed record; how many there are, and what is wrong, in words."""
    checked, found = 0, []
    for kind, record in all_signed():
        checked += 1
        found += [f"{fault.record}: {fault.what}." for fault in faults_of(record, kind)]
    return checked, found


def _checks(at: datetime, start: int) -> Iterator[list[str]]:
    for kind, rows in _steps(at):
        count = rows.count()
        if start >= count:
            start -= count
            continue
        for row in rows.order_by("pk")[start:]:
            if kind is not None:
                yield [f"{fault.record}: {fault.what}." for fault in faults_of(row, kind)]
            else:
                yield _file_faults(row)
        start = 0


def _file_faults(row: Picture | Document) -> list[str]:
    is_picture = isinstance(row, Picture)
    path = (
        picture_path(row.sha256, "original", row.mime)
        if is_picture
        else document_path(row.sha256, row.mime)
    )
    name = f"{'Picture' if is_picture else 'Scan'} “{row.name}” (#{row.pk})"
    try:
        with default_storage.open(path) as file:
            found = hashlib.sha256()
            for part in iter(lambda: file.read(1 << 20), b""):
                found.update(part)
    except FileNotFoundError:
        return [f"{name}: its file is missing from the store."]
    if found.hexdigest() != row.sha256:
        return [f"{name}: its file is no longer what was kept."]
    return []
