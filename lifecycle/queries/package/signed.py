"""The exact words that were signed, as files whose SHA-256 is the digest on record."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Final

from lifecycle.process.stages import Role
from lifecycle.process.words import SignCapacity
from lifecycle.queries.movements import movement_words
from lifecycle.queries.package.kinds import KindOfRecord, kind_of, kinds
from lifecycle.queries.package.names import folded
from lifecycle.queries.signed_text import registry
from lifecycle.queries.signed_text.treatment import community_word, consent_text
from lifecycle.records.models import (
    Consent,
    Decision,
    DeviationConsent,
    Movement,
    MovementLine,
    Signature,
)
from lifecycle.records.signable import Signable

FOLDER: Final = "signed-words"
PORTION: Final = 100


@dataclass(frozen=True, slots=True, kw_only=True)
class SignedWords:
    """One signed text: its file, what it is, its words, and the digest that stands on record.

    ``words`` is None where they were not kept and no longer come out the same from the rows.
    """

    file: str
    what: str
    digest: str
    words: str | None


def signed_file(kind: KindOfRecord, page: str, row: Any) -> str:
    """Return where the signed words of a record lie: named as its page, in their own folder."""
    if kind.folder:
        return page.replace("records/", f"{FOLDER}/", 1)
    return f"{FOLDER}/{'-'.join(kind.plural.split())}/{row.uid.hex[:12]}.txt"


def is_signed(kind: KindOfRecord) -> bool:
    """Whether people sign rows of this kind."""
    return issubclass(kind.model, Signable) or kind in beside_kinds()


def signed_kinds() -> list[KindOfRecord]:
    """Return the kinds whose rows keep their signed words."""
    return [kind for kind in kinds() if issubclass(kind.model, Signable)]


def beside_kinds() -> list[KindOfRecord]:
    """Return the kinds whose signed words are made again from their rows."""
    return [kind_of(model) for model in (Consent, DeviationConsent, Movement)]


def signed_beside(kind: KindOfRecord, rows: Any) -> Iterator[SignedWords]:
    """Yield what was signed with these decisions or movements, checked against its digest."""
    rows = rows.select_related(*_NEEDED[kind.model]).prefetch_related(*_BEHIND[kind.model])
    for row in rows.iterator(chunk_size=PORTION):
        for signature, capacity, words in _WRITTEN[kind.model](row):
            whole = words if registry.digest_of(words) == signature.digest else None
            capacity_name = folded(SignCapacity(capacity).label)
            yield SignedWords(
                file=f"{FOLDER}/{'-'.join(kind.plural.split())}/{row.uid.hex[:12]}-{capacity_name}.txt",
                what=f"{kind.singular} signed by {signature.person.full_name}",
                digest=signature.digest,
                words=whole,
            )


Signed = tuple[Signature, str, str]


def _consent(row: Consent) -> Iterator[Signed]:
    version = row.version
    excluded = sorted(row.exclusions.all(), key=lambda one: one.pk)
    yield (
        row.signature,
        row.signature.capacity,
        consent_text(
            title="Decision on a treatment proposal",
            about=f"v{version.version} of {version.proposal.proposal_no}",
            digest=version.digest,
            person=row.person,
            role_label=Role(row.signature.role).label,
            decision=Decision(row.decision),
            limits=row.limits,
            excluded=tuple(
                f"{one.step.label} on {one.face.label if one.face else 'every face'}"
                for one in excluded
            ),
            valid_until=row.valid_until,
            for_person=row.for_person,
            told=community_word(row),
        ),
    )


def _deviation(row: DeviationConsent) -> Iterator[Signed]:
    step = row.step
    yield (
        row.signature,
        row.signature.capacity,
        consent_text(
            title="Decision on a deviation in treatment",
            about=f"{step.step.label}, {step.deviation_why}",
            digest=step.version.digest if step.version else "",
            person=row.person,
            role_label=Role(row.signature.role).label,
            decision=Decision(row.decision),
            limits=row.limits,
            excluded=(),
            valid_until=None,
            for_person=row.for_person,
            told=community_word(row),
        ),
    )


def _movement(row: Movement) -> Iterator[Signed]:
    lines: list[MovementLine] = list(row.lines.all())
    if row.received_signature is not None:
        yield row.received_signature, row.received_signature.capacity, movement_words(row, lines)
    if row.handed_over_signature is not None:
        row.arrived_at = None  # as it stood when it left
        signature = row.handed_over_signature
        yield signature, signature.capacity, movement_words(row, lines)


_WRITTEN: Final[dict[Any, Any]] = {
    Consent: _consent,
    DeviationConsent: _deviation,
    Movement: _movement,
}
_NEEDED: Final[dict[Any, tuple[str, ...]]] = {
    Consent: ("signature__person", "person", "for_person", "version__proposal"),
    DeviationConsent: ("signature__person", "person", "for_person", "step__step", "step__version"),
    Movement: (
        "received_signature__person", "handed_over_signature__person", "from_place", "to_place",
        "reason", "authorised_by",
    ),
}  # fmt: skip
_BEHIND: Final[dict[Any, tuple[str, ...]]] = {
    Consent: ("exclusions__step", "exclusions__face"),
    DeviationConsent: (),
    Movement: ("lines__museum_object",),
}
