"""Signing: by account with the password again, or on paper and read back by somebody else.

The first signature freezes the record: its words are written, their SHA-256 is kept with them,
and from then on neither code nor database lets anything of it change. Nobody signs for another.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from django.db import transaction

from lifecycle.actions.proving import faults_of_proof
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.stages import Role
from lifecycle.process.words import SignCapacity, SignMethod
from lifecycle.queries.signed_text.registry import digest_of, kind_of, text_of, version_of
from lifecycle.records.models.people import Person
from lifecycle.records.models.pictures import Document
from lifecycle.records.models.signing import Signature


@dataclass(frozen=True, slots=True, kw_only=True)
class Hand:
    """Whose hand signs, in which role, and by which method; make it with one of the two below."""

    person: Person
    role: Role
    method: SignMethod
    password: str = ""
    scan: Document | None = None
    read_back_by: Person | None = None
    read_back_role: Role | None = None
    signed_at: datetime | None = None
    note: str = ""
    proved: bool = False
    """The password was checked a moment ago, for several records signed in one go."""


def with_account(
    *,
    person: Person,
    role: Role,
    password: str,
    note: str = "",
    scan: Document | None = None,
) -> Hand:
    """The person at the screen signs for themselves and gives the password again.

    ``scan`` is the writing they put on record, where they do.

    Without a password of their own they give the code of their second step in its place.
    """
    return Hand(
        person=person,
        role=role,
        method=SignMethod.ACCOUNT,
        password=password,
        note=note,
        scan=scan,
    )


def on_paper(
    *,
    person: Person,
    role: Role,
    scan: Document | None,
    read_back_by: Person,
    signed_at: datetime | None,
    read_back_role: Role | None = None,
    note: str = "",
) -> Hand:
    """``person`` signed in pencil or ink at ``signed_at``; ``read_back_by`` types it in."""
    return Hand(
        person=person,
        role=role,
        method=SignMethod.ON_PAPER,
        scan=scan,
        read_back_by=read_back_by,
        read_back_role=read_back_role,
        signed_at=signed_at,
        note=note,
    )


def faults_of_hand(hand: Hand, *, at: datetime) -> Iterator[Reason]:
    """Yield every reason why this hand can't sign, beside the field it belongs to."""
    if hand.method == SignMethod.ACCOUNT:
        account = hand.person.account
        if account is None or not account.is_active:
            text = f"{hand.person} has no account here: let them sign on paper and attach the scan."
            yield Reason(text, "person", "signing.no_account")
        elif not hand.proved:
            yield from faults_of_proof(account, hand.password)
        return
    if hand.scan is None:
        text = f"Attach the scan of the sheet that {hand.person} signed."
        yield Reason(text, "scan", "signing.scan")
    if hand.read_back_by is None or hand.read_back_by.pk == hand.person.pk:
        text = (
            f"{hand.person} signed the sheet, so somebody else has to read it back: "
            "nobody types in their own paper signature."
        )
        yield Reason(text, "person", "signing.read_back")
    if hand.signed_at is None:
        yield Reason(
            "Enter the date and time that stand on the sheet.", "signed_at", "signing.time"
        )
    elif hand.signed_at > at:
        text = "The time on the sheet lies in the future; read the date and time again."
        yield Reason(text, "signed_at", "signing.time")


def check_hand(hand: Hand, *, at: datetime) -> None:
    """Refuse a hand that can't sign, with every reason at once."""
    if reasons := list(faults_of_hand(hand, at=at)):
        raise Refused(reasons)


def prove(hand: Hand, *, at: datetime) -> Hand:
    """Check the hand once, for signing several records with it in the same act.

    A password takes most of a second to check, and a case of six asks for twelve signatures.

    :raises Refused: if the hand can't sign
    """
    check_hand(hand, at=at)
    return replace(hand, password="", proved=True)


@transaction.atomic
def sign(*, record: Any, capacity: SignCapacity, hand: Hand, at: datetime) -> Signature:
    """Sign ``record``; the first signature writes its words and freezes it.

    The caller has checked that the record is complete and that the person may sign it.

    :raises Refused: if the hand can't sign, or has signed this version in this capacity already
    """
    check_hand(hand, at=at)
    kind = kind_of(record)
    kept = kind.model._default_manager.select_for_update().get(pk=record.pk)
    _refuse_twice(kept, capacity, hand)
    if not kept.signed:
        # The row itself carries no foreign moment: names and labels are those of this moment.
        kept.signed_text = text_of(kept)
        kept.digest = digest_of(kept.signed_text)
        kept.signed_at = at
        kept.keep(  # type: ignore[attr-defined]
            by=hand.read_back_by or hand.person,
            role=hand.role,
            why=f"signed as {capacity.label}",
            at=at,
            fields=["signed_text", "digest", "signed_at"],
        )
        record.signed_text, record.digest = kept.signed_text, kept.digest
        record.signed_at = kept.signed_at
    return _write(
        kind_name=kind.name, record=kept, digest=kept.digest, capacity=capacity, hand=hand, at=at
    )


@transaction.atomic
def attest(
    *, kind_name: str, record: Any, text: str, capacity: SignCapacity, hand: Hand, at: datetime
) -> Signature:
    """Sign a row that is written once anyway (a consent, a receipt): the words come with it."""
    check_hand(hand, at=at)
    _refuse_twice(record, capacity, hand)
    return _write(
        kind_name=kind_name,
        record=record,
        digest=digest_of(text),
        capacity=capacity,
        hand=hand,
        at=at,
    )


def _refuse_twice(record: Any, capacity: SignCapacity, hand: Hand) -> None:
    already = Signature.objects.filter(
        record_uid=record.uid,
        record_version=version_of(record),
        person=hand.person,
        capacity=capacity,
    )
    if already.exists():
        text = f"{hand.person} has signed this version as {capacity.label} already."
        raise Refused(Reason(text, "person", "signing.twice"))


def _write(
    *,
    kind_name: str,
    record: Any,
    digest: str,
    capacity: SignCapacity,
    hand: Hand,
    at: datetime,
) -> Signature:
    return Signature(
        person=hand.person,
        role=hand.role,
        capacity=capacity,
        method=hand.method,
        at=hand.signed_at or at,
        entered_at=at,
        record_kind=kind_name,
        record_uid=record.uid,
        record_version=version_of(record),
        digest=digest,
        scan=hand.scan,
        read_back_by=hand.read_back_by,
        note=hand.note,
    ).append()
