"""A lender's writing on a printed proposal: one reading back gives the decision and the print."""

from typing import Any

import pytest

from lifecycle.actions.refusals import Refused
from lifecycle.actions.signing import on_paper
from lifecycle.actions.treatment.writing_back import read_writing_back
from lifecycle.process.stages import Role
from lifecycle.process.words import OwnerKind
from lifecycle.queries.papers_out import still_out_of
from lifecycle.records.models import (
    Document,
    Organisation,
    OrganisationKind,
    Person,
    Print,
)
from lifecycle.records.models.treatment import Consent, Decision, ProposalVersion
from tests.builders.core import AT, kept_by, make_museum, make_object, make_person, make_showing
from tests.builders.printing import make_proposed, printed
from tests.builders.treatment import HOUR, make_sent

pytestmark = pytest.mark.django_db
LIMITS = "No water on the image."


class Lent:
    def __init__(self) -> None:
        make_museum()
        trust = Organisation(name="Saltmarsh Trust", kind=OrganisationKind.LENDER).keep(**kept_by())
        self.speaker: Person = make_person(name="Ottilie Marsh", organisation=trust, account=False)
        self.registrar: Person = make_person(Role.REGISTRAR)
        thing = make_object(owner_kind=OwnerKind.LENDER, lender=trust)
        self.version: ProposalVersion = make_sent(
            make_person(Role.CONSERVATOR), showing=make_showing(museum_object=thing)
        )
        self.sheet: Print = printed(self.version, by=self.registrar)

    def read(self, **values: Any) -> Consent:
        scan = Document(
            sha256="c" * 64,
            name="p2.pdf",
            mime="application/pdf",
            size_bytes=9,
            title="P2",
            entered_at=AT,
        ).keep(**kept_by())
        hand = on_paper(
            person=self.speaker,
            role=Role.LENDER,
            scan=scan,
            read_back_by=self.registrar,
            signed_at=AT + HOUR,
        )
        return read_writing_back(
            by=self.registrar,
            role=Role.REGISTRAR,
            at=AT + 2 * HOUR,
            hand=hand,
            version=self.version,
            decision=Decision.AGREE_WITHIN_LIMITS,
            limits=LIMITS,
            **values,
        )


@pytest.fixture
def lent(db: None) -> Lent:
    return Lent()


def test_the_print_counts_as_back_with_the_scan_of_the_writing(lent: Lent) -> None:
    assert list(still_out_of(lent.version.uid)) == [lent.sheet]
    given = lent.read(sheet=lent.sheet)
    back = lent.sheet.returns.get()
    assert (back.scan, back.observed_at) == (given.signature.scan, given.decided_at)
    assert back.written_by == lent.speaker
    assert not still_out_of(lent.version.uid).exists()


def test_a_letter_of_the_lenders_own_leaves_the_print_out(lent: Lent) -> None:
    lent.read()
    assert Consent.objects.get().limits == LIMITS
    assert list(still_out_of(lent.version.uid)) == [lent.sheet]


def test_a_print_of_another_version_is_refused_and_no_decision_is_kept(lent: Lent) -> None:
    other = printed(make_proposed(), by=lent.registrar)
    with pytest.raises(Refused, match="is no print of v1"):
        lent.read(sheet=other)
    assert not Consent.objects.exists()
