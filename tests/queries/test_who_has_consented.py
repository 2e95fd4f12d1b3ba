"""When a version counts as consented: each guard of that rule on its own, without a database."""

from datetime import UTC, date, datetime, timedelta
from types import SimpleNamespace
from typing import Any, cast
from zoneinfo import ZoneInfo

import pytest

from lifecycle.process.stages import Role
from lifecycle.process.words import OwnerKind
from lifecycle.queries.treatment.consenting import (
    Clock,
    consent_facts,
    counts_through,
    deviation_is_open,
    is_consented,
    roles_needed,
    version_consents,
)
from lifecycle.records.models.treatment import SOURCE_COMMUNITY, Decision, ProposalVersion

SENT = datetime(2026, 3, 2, 12, tzinfo=UTC)
HOUR = timedelta(hours=1)


def said(person: int, at: datetime, decision: Decision = Decision.AGREE, **more: Any) -> Any:
    values = {
        "person": SimpleNamespace(full_name=f"Person {person}"),
        "person_id": person,
        "for_person": None,
        "for_person_id": None,
        "role": Role.CURATOR.value,
        "community": "",
        "speaker": "",
        "decision": decision.value,
        "limits": "",
        "valid_until": None,
        "decided_at": at,
    }
    return SimpleNamespace(**(values | more))


def version(
    *decisions: Any,
    signed_at: datetime | None = SENT,
    owner: OwnerKind = OwnerKind.MUSEUM,
    reversible: bool = True,
    restricted: str = "",
    community: str = "",
    sent_to: str = "",
) -> ProposalVersion:
    thing = SimpleNamespace(
        owner_kind=owner, culturally_restricted=restricted, source_community=community
    )
    row = SimpleNamespace(
        signed_at=signed_at,
        reversible=reversible,
        community=sent_to,
        proposal=SimpleNamespace(museum_object=thing),
        consents=SimpleNamespace(all=lambda: list(decisions)),
    )
    return cast("ProposalVersion", row)


def clock(moment: datetime) -> Clock:
    return Clock(moment=moment, zone=ZoneInfo("Europe/London"))


def test_a_version_counts_only_once_it_was_sent_whatever_was_said_before() -> None:
    early = version(said(1, SENT - 2 * HOUR))
    assert not is_consented(early, clock(SENT - HOUR))
    assert is_consented(early, clock(SENT))
    assert not is_consented(version(said(1, SENT), signed_at=None), clock(SENT + HOUR))


def test_a_word_given_later_does_not_count_at_the_moment_asked_for() -> None:
    row = version(said(1, SENT + 2 * HOUR))
    assert not is_consented(row, clock(SENT + HOUR))
    assert is_consented(row, clock(SENT + 2 * HOUR))


@pytest.mark.parametrize("no", [Decision.REFUSE, Decision.CHANGE_ASKED])
def test_an_objection_of_one_curator_stands_against_the_yes_of_another(no: Decision) -> None:
    both = version(said(1, SENT + HOUR), said(2, SENT, no))
    assert not is_consented(both, clock(SENT + 2 * HOUR))
    changed = version(said(2, SENT, no), said(2, SENT + HOUR))
    assert is_consented(changed, clock(SENT + 2 * HOUR))


def test_a_deputy_speaks_for_whom_they_stand_and_is_overruled_by_them() -> None:
    deputy = said(9, SENT, Decision.REFUSE, for_person_id=1)
    assert is_consented(version(deputy, said(1, SENT + HOUR)), clock(SENT + 2 * HOUR))


def test_every_role_it_needs_is_asked_the_lender_for_a_loan_the_head_if_it_stays() -> None:
    loan = version(said(1, SENT), owner=OwnerKind.LENDER)
    for_good = version(said(1, SENT), reversible=False)
    assert roles_needed(loan) == (Role.CURATOR, Role.LENDER)
    assert roles_needed(for_good) == (Role.CURATOR, Role.HEAD_OF_COLLECTIONS)
    assert not is_consented(loan, clock(SENT))
    assert not is_consented(for_good, clock(SENT))


FERRY = "Tern Ferry families"


def of_ferry(at: datetime, decision: Decision = Decision.AGREE, **more: Any) -> Any:
    values = {"role": SOURCE_COMMUNITY, "community": FERRY, "speaker": "Asa Merrin"}
    return said(7, at, decision, **(values | more))


def test_a_named_community_agrees_too_and_its_last_word_counts_whoever_spoke() -> None:
    """Common practice: the source community where that was agreed."""
    curator = said(1, SENT)
    assert not is_consented(version(curator, community=FERRY), clock(SENT))
    yes = version(curator, of_ferry(SENT), community=FERRY)
    assert is_consented(yes, clock(SENT))
    no = of_ferry(SENT + HOUR, Decision.REFUSE, speaker="Ines Loam")
    changed = version(curator, of_ferry(SENT), no, community=FERRY)
    assert not is_consented(changed, clock(SENT + HOUR))
    again = version(curator, no, of_ferry(SENT + 2 * HOUR), community=FERRY)
    assert is_consented(again, clock(SENT + 2 * HOUR))


@pytest.mark.parametrize("since", ["", "Halse Moor families"])
def test_a_version_keeps_the_community_it_was_sent_to(since: str) -> None:
    """Whatever the card says since; and while there is one to ask, nobody answers for it."""
    curator = said(1, SENT)
    sent: dict[str, Any] = {"community": since, "sent_to": FERRY, "restricted": "Elders alone."}
    assert not is_consented(version(curator, **sent), clock(SENT))
    assert is_consented(version(curator, of_ferry(SENT), **sent), clock(SENT))
    assert roles_needed(version(**sent)) == (Role.CURATOR,)


def test_another_communitys_answer_does_not_count_nor_does_a_curators_stand_for_it() -> None:
    curator = said(1, SENT)
    other = version(curator, of_ferry(SENT, community="Halse Moor families"), community=FERRY)
    assert not is_consented(other, clock(SENT))
    same = version(curator, of_ferry(SENT, community=FERRY.upper()), community=FERRY)
    assert is_consented(same, clock(SENT))
    assert not is_consented(version(of_ferry(SENT), community=FERRY), clock(SENT))
    facts = version_consents(version(curator, community=FERRY), clock(SENT))[1]
    assert (facts.role, facts.whose) == (Role.REGISTRAR, f"source community ({FERRY})")


def test_a_restricted_object_that_names_no_community_asks_the_head_of_collections() -> None:
    assert roles_needed(version(restricted="elders only")) == (
        Role.CURATOR,
        Role.HEAD_OF_COLLECTIONS,
    )
    assert roles_needed(version(restricted="elders only", community=FERRY)) == (Role.CURATOR,)
    assert roles_needed(version(restricted=" ")) == (Role.CURATOR,)


def test_a_deviation_waits_for_the_community_as_well() -> None:
    row = version(community=FERRY)
    assert deviation_is_open([said(1, SENT)], row, clock(SENT))
    assert not deviation_is_open([said(1, SENT), of_ferry(SENT)], row, clock(SENT))


def test_a_consent_lapses_after_its_months_or_its_own_last_day() -> None:
    assert counts_through(date(2026, 3, 2), None, 12) == date(2027, 3, 1)
    assert counts_through(date(2026, 3, 2), date(2026, 3, 20), 12) == date(2026, 3, 20)
    word = said(1, SENT, valid_until=date(2026, 3, 20))
    row = version(word)
    assert is_consented(row, clock(datetime(2026, 3, 20, 23, tzinfo=UTC)))
    assert not is_consented(row, clock(datetime(2026, 3, 21, 1, tzinfo=UTC)))
    facts = consent_facts(
        Role.CURATOR, [word], clock(datetime(2026, 4, 1, tzinfo=UTC)), asked_at=SENT
    )
    assert facts.lapsed_on == date(2026, 3, 21)


def test_a_deviation_is_open_until_every_role_has_agreed_to_it() -> None:
    loan = version(owner=OwnerKind.LENDER)
    curator = said(1, SENT)
    lender = said(2, SENT, role=Role.LENDER.value)
    assert deviation_is_open([curator], loan, clock(SENT))
    assert not deviation_is_open([curator, lender], loan, clock(SENT))
    assert deviation_is_open([curator, lender], loan, clock(SENT - HOUR))
