"""Who must consent to a version, whose word counts, and for how long.

The parties are common practice: curator always, the lender of a loan in writing, the head of
collections when it can't be undone.
"""

from datetime import date, timedelta
from typing import Any

import pytest

from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.actions.signing import on_paper, with_account
from lifecycle.actions.treatment import give_consent
from lifecycle.process.stages import Role
from lifecycle.process.words import OwnerKind
from lifecycle.queries.treatment.consenting import (
    clock_at,
    counts_through,
    is_consented,
    roles_needed,
)
from lifecycle.queries.treatment.reading import with_consents
from lifecycle.records.models import (
    DeputyTerm,
    Document,
    GuestPass,
    Organisation,
    OrganisationKind,
    Person,
    Showing,
)
from lifecycle.records.models.treatment import Consent, Decision, ProposalVersion
from tests.builders.core import (
    AT,
    DAY,
    kept_by,
    make_exhibition,
    make_museum,
    make_object,
    make_person,
    make_showing,
)
from tests.builders.treatment import HOUR, agree, make_sent

pytestmark = pytest.mark.django_db


def lent_by(name: str = "Saltmarsh Observatory Trust") -> Organisation:
    return Organisation(name=name, kind=OrganisationKind.LENDER).keep(**kept_by())


def showing_with(curator: Person, *, lender: Organisation | None = None) -> Showing:
    exhibition = make_exhibition()
    exhibition.curators.add(curator)
    owner: dict[str, Any] = {"owner_kind": OwnerKind.LENDER, "lender": lender} if lender else {}
    return make_showing(exhibition=exhibition, museum_object=make_object(**owner))


def sent(*, lender: Organisation | None = None, reversible: bool = True) -> ProposalVersion:
    make_museum()
    curator = make_person(Role.CURATOR, name="Wen Castellane")
    return make_sent(
        make_person(Role.CONSERVATOR),
        showing=showing_with(curator, lender=lender),
        reversible=reversible,
    )


def wen() -> Person:
    return Person.objects.get(full_name="Wen Castellane")


def consented(version: ProposalVersion, after: timedelta = HOUR) -> bool:
    read = with_consents(ProposalVersion.objects.filter(pk=version.pk)).get()
    return is_consented(read, clock_at(AT + after))


@pytest.mark.parametrize(
    ("loan", "reversible", "needed"),
    [
        (False, True, {Role.CURATOR}),
        (False, False, {Role.CURATOR, Role.HEAD_OF_COLLECTIONS}),
        (True, True, {Role.CURATOR, Role.LENDER}),
        (True, False, {Role.CURATOR, Role.LENDER, Role.HEAD_OF_COLLECTIONS}),
    ],
)
def test_the_curator_always_the_lender_of_a_loan_the_head_if_it_cannot_be_undone(
    loan: bool, reversible: bool, needed: set[Role]
) -> None:
    version = sent(lender=lent_by() if loan else None, reversible=reversible)
    assert set(roles_needed(version)) == needed


def test_a_version_that_cannot_be_undone_waits_for_both() -> None:
    version = sent(reversible=False)
    agree(wen(), version, at=AT)
    assert not consented(version)
    head = make_person(Role.HEAD_OF_COLLECTIONS)
    agree(head, version, at=AT, role=Role.HEAD_OF_COLLECTIONS)
    assert consented(version)


def test_the_head_is_not_asked_when_it_can_be_undone() -> None:
    version = sent()
    head = make_person(Role.HEAD_OF_COLLECTIONS)
    with pytest.raises(Refused, match="does not need a decision of the head of collections"):
        agree(head, version, at=AT, role=Role.HEAD_OF_COLLECTIONS)


@pytest.mark.parametrize(
    "role",
    [
        Role.CONSERVATOR,
        Role.REGISTRAR,
        Role.MOUNT_MAKER,
        Role.PHOTOGRAPHER,
        Role.TECHNICIAN,
        Role.ATTENDANT,
        Role.EXHIBITION_MANAGER,
        Role.STEWARD,
    ],
)
def test_nobody_else_may_consent(role: Role) -> None:
    version = sent()
    with pytest.raises(NotAllowed):
        agree(make_person(role), version, at=AT, role=role)
    assert not Consent.objects.exists()


def test_a_curator_of_another_exhibition_may_not_consent() -> None:
    version = sent()
    with pytest.raises(NotAllowed):
        agree(make_person(Role.CURATOR), version, at=AT)


def test_a_wrong_password_signs_nothing() -> None:
    version = sent()
    hand = with_account(person=wen(), role=Role.CURATOR, password="not mine")
    with pytest.raises(Refused) as refused:
        give_consent(hand=hand, at=AT, version=version, decision=Decision.AGREE)
    assert refused.value.reasons[0].field == "password"
    assert not Consent.objects.exists()


def deputy(*, from_on: date, until_on: date) -> Person:
    stand_in = make_person(name="Ines Rook")
    DeputyTerm(
        for_person=wen(), deputy=stand_in, role=Role.CURATOR, from_on=from_on, until_on=until_on
    ).keep(**kept_by())
    return stand_in


def test_a_named_deputy_consents_within_limits_inside_the_dates() -> None:
    version = sent()
    stand_in = deputy(from_on=DAY, until_on=DAY)
    given = agree(
        stand_in, version, at=AT, decision=Decision.AGREE_WITHIN_LIMITS, limits="No pressing."
    )
    assert (given.for_person, given.deputy_term is not None) == (wen(), True)
    assert consented(version)


def test_outside_the_dates_the_deputy_is_nobody() -> None:
    version = sent()
    stand_in = deputy(from_on=DAY - timedelta(days=9), until_on=DAY - timedelta(days=1))
    with pytest.raises(NotAllowed):
        agree(stand_in, version, at=AT)


def test_the_deputys_no_is_taken_back_by_the_curators_own_yes() -> None:
    version = sent()
    stand_in = deputy(from_on=DAY, until_on=DAY)
    agree(stand_in, version, at=AT, decision=Decision.REFUSE, limits="Not before we met.")
    assert not consented(version)
    agree(wen(), version, at=AT + HOUR)
    assert consented(version, 2 * HOUR)


def test_one_curators_refusal_stands_against_anothers_yes() -> None:
    version = sent()
    second = make_person(Role.CURATOR)
    assert version.proposal.showing is not None
    version.proposal.showing.exhibition.curators.add(second)
    agree(wen(), version, at=AT)
    agree(second, version, at=AT, decision=Decision.CHANGE_ASKED, limits="Leave the tape.")
    assert not consented(version)


def test_a_refusal_after_a_yes_takes_the_consent_away() -> None:
    version = sent()
    agree(wen(), version, at=AT)
    agree(wen(), version, at=AT + HOUR, decision=Decision.REFUSE, limits="We were wrong.")
    assert not consented(version, 2 * HOUR)


@pytest.mark.parametrize(
    ("decided", "until", "last"),
    [
        (date(2026, 6, 2), None, date(2027, 6, 1)),
        (date(2024, 2, 29), None, date(2025, 2, 27)),
        (date(2026, 6, 2), date(2026, 7, 31), date(2026, 7, 31)),
        (date(2026, 6, 2), date(2030, 1, 1), date(2027, 6, 1)),
    ],
)
def test_consent_lapses_after_twelve_months_or_on_its_own_last_day(
    decided: date, until: date | None, last: date
) -> None:
    """Worked by hand: the day exactly twelve months on no longer counts, a stated day does."""
    assert counts_through(decided, until, 12) == last


def test_a_lapsed_consent_no_longer_covers() -> None:
    version = sent()
    agree(wen(), version, at=AT)
    assert consented(version, timedelta(days=364))
    assert not consented(version, timedelta(days=365))


def scan() -> Document:
    return Document(
        sha256="b" * 64,
        name="letter.pdf",
        mime="application/pdf",
        size_bytes=9,
        title="Letter of the lender",
        entered_at=AT,
    ).keep(**kept_by())


def writing(version: ProposalVersion, *, by: Person, reader: Person) -> Consent:
    hand = on_paper(
        person=by, role=Role.LENDER, scan=scan(), read_back_by=reader, signed_at=AT + HOUR
    )
    return give_consent(hand=hand, at=AT + 3 * HOUR, version=version, decision=Decision.AGREE)


def test_the_lenders_writing_is_read_back_by_the_registrar_with_its_own_time() -> None:
    trust = lent_by()
    version = sent(lender=trust)
    speaker = make_person(name="Ottilie Marsh", organisation=trust, account=False)
    registrar = make_person(Role.REGISTRAR)
    given = writing(version, by=speaker, reader=registrar)
    assert (given.decided_at, given.entered_at) == (AT + HOUR, AT + 3 * HOUR)
    assert (given.entered_by, given.signature.scan is not None) == (registrar, True)


def test_nobody_outside_the_lender_writes_for_it_and_a_curator_does_not_read_it_back() -> None:
    trust = lent_by()
    version = sent(lender=trust)
    stranger = make_person(name="Some Body", organisation=lent_by("Another Trust"), account=False)
    with pytest.raises(NotAllowed, match="does not speak for the lender"):
        writing(version, by=stranger, reader=make_person(Role.REGISTRAR))
    speaker = make_person(name="Ottilie Marsh", organisation=trust, account=False)
    with pytest.raises(NotAllowed):
        writing(version, by=speaker, reader=make_person(Role.CURATOR))
    assert not Consent.objects.exists()


def test_a_lender_with_a_pass_for_the_object_decides_at_the_screen() -> None:
    trust = lent_by()
    version = sent(lender=trust)
    guest = make_person(name="Ottilie Marsh", organisation=trust)
    with pytest.raises(NotAllowed):
        agree(guest, version, at=AT, role=Role.LENDER)
    held = GuestPass(
        person=guest, role=Role.LENDER, organisation=trust, from_on=DAY, until_on=DAY
    ).keep(**kept_by())
    held.museum_objects.add(version.proposal.museum_object)
    agree(guest, version, at=AT, role=Role.LENDER)
    agree(wen(), version, at=AT)
    assert consented(version)


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"decision": Decision.AGREE_WITHIN_LIMITS}, "limits"),
        ({"decision": Decision.REFUSE}, "limits"),
        ({"decision": Decision.CHANGE_ASKED, "limits": "  "}, "limits"),
        ({"decision": Decision.AGREE, "limits": "No pressing."}, "decision"),
        ({"decision": Decision.AGREE, "valid_until": DAY - timedelta(days=1)}, "valid_until"),
    ],
)
def test_a_decision_says_what_it_has_to(values: dict[str, Any], field: str) -> None:
    version = sent()
    with pytest.raises(Refused) as refused:
        agree(wen(), version, at=AT, **values)
    assert [reason.field for reason in refused.value.reasons] == [field]
    assert not Consent.objects.exists()
