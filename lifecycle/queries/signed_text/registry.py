"""All kinds of signed record, their words, their digests, and who signed them."""

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from lifecycle.queries.signed_text import condition, display, preparation, treatment
from lifecycle.queries.signed_text.kind import SignedKind
from lifecycle.queries.signed_text.lines import Wording
from lifecycle.records.models.signing import Signature
from lifecycle.records.signable import Signable

KINDS: Final[tuple[SignedKind, ...]] = (
    *condition.KINDS,
    *display.KINDS,
    *treatment.KINDS,
    *preparation.KINDS,
)


def kind_of(record: Signable) -> SignedKind:
    """Return the kind of a record; a missing entry is a fault of ours, not of the person."""
    for kind in KINDS:
        if isinstance(record, kind.model):
            return kind
    raise LookupError(f"{type(record).__name__} is not in the register of signed records.")


def text_of(record: Any, at: datetime | None = None) -> str:
    """Return the words of a record; with ``at``, as names and labels stood at that moment."""
    return kind_of(record).text(record, Wording(at))


def digest_of(text: str) -> str:
    """Return the SHA-256 of the text in UTF-8, in hexadecimal (FIPS 180-4)."""
    return hashlib.sha256(text.encode()).hexdigest()


def version_of(record: Any) -> int:
    return int(getattr(record, "version", 1))


def signatures_of(record: Any) -> list[Signature]:
    """Return the signatures on exactly this version, in the order in which they were given."""
    return list(
        Signature.objects.filter(record_uid=record.uid, record_version=version_of(record))
        .select_related("person", "scan", "read_back_by")
        .order_by("at", "pk")
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One signed record that no longer is what was signed, and what differs."""

    record: str
    what: str


def faults_of(record: Any, kind: SignedKind) -> Iterator[Fault]:
    """Yield everything that no longer agrees: the kept words, the rows, the signatures."""
    name = f"{kind.label} {kind.number(record)} version {version_of(record)}"
    if digest_of(record.signed_text) != record.digest:
        yield Fault(record=name, what="the kept words no longer give the signed digest")
    now_says = text_of(record, record.signed_at)
    if now_says != record.signed_text:
        yield Fault(record=name, what=_first_difference(record.signed_text, now_says))
    signatures = signatures_of(record)
    if not signatures:
        yield Fault(record=name, what="no signature is on record")
    for signature in signatures:
        if signature.digest != record.digest:
            yield Fault(record=name, what=f"the signature of {signature.person} has another digest")


def _first_difference(signed: str, now_says: str) -> str:
    old, new = signed.splitlines(), now_says.splitlines()
    for number, (was, is_now) in enumerate(zip(old, new, strict=False), start=1):
        if was != is_now:
            return f"line {number} was signed as “{was}”, the record now says “{is_now}”"
    return f"{len(old)} lines were signed, the record now has {len(new)}"


def all_signed() -> Iterator[tuple[SignedKind, Any]]:
    """Yield every signed record of every kind, oldest first; reads in portions."""
    for kind in KINDS:
        rows = kind.model._default_manager.exclude(digest="").order_by("signed_at", "pk")
        for record in rows.iterator(chunk_size=200):
            yield kind, record
