"""Decide on a version, or on a deviation from it: whose word it is, and under which right."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from django.db.models import Q

from lifecycle.actions.allowing import allow
from lifecycle.actions.refusals import NotAllowed, Reason, Refused
from lifecycle.actions.signing import Hand
from lifecycle.process.rights import NOTHING, Deed
from lifecycle.process.stages import Role
from lifecycle.process.words import SignMethod
from lifecycle.queries.rights import about_object, about_showing, museum_day
from lifecycle.queries.signed_text.treatment import CommunityWord
from lifecycle.queries.treatment.consenting import community_needed, roles_needed
from lifecycle.records.models.people import DeputyTerm, GuestPass, Person, RoleAssignment
from lifecycle.records.models.treatment import AGREED, Decision, Proposal, ProposalVersion


@dataclass(frozen=True, slots=True, kw_only=True)
class Slip:
    """What a signature of a decision points to: the decision's own row, written right after."""

    uid: UUID


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """In whose place a person decides: their own, or as deputy under a dated term."""

    for_person: Person | None = None
    term: DeputyTerm | None = None


def check_right(
    *, hand: Hand, at: datetime, version: ProposalVersion, told: CommunityWord | None = None
) -> None:
    """Refuse a person who may not decide, or whose role this version does not ask.

    A lender's writing is read back by somebody who may register loans; the lender needs no pass.
    The answer of a source community is put on record by the same people, in their own name.
    """
    proposal = version.proposal
    museum_object = proposal.museum_object
    about = (
        about_object(museum_object) if proposal.showing is None else about_showing(proposal.showing)
    )
    name = f"v{version.version} of {proposal.proposal_no}"
    if told is not None:
        allow(by=hand.person, role=hand.role, deed=Deed.REGISTER, at=at, about=about)
        if community_needed(version).casefold() != told.community.casefold():
            text = f"{name} does not need an answer of {told.community}."
            raise Refused(Reason(text, code="consent.not_needed"))
        return
    on_paper = hand.method == SignMethod.ON_PAPER
    if hand.role is Role.LENDER and on_paper and hand.read_back_by is not None:
        if hand.person.organisation_id != museum_object.lender_id:
            raise NotAllowed(
                f"{hand.person.full_name} does not speak for the lender of "
                f"{museum_object.object_number}."
            )
        reader_role = _registering_role(hand.read_back_by, at)
        allow(by=hand.read_back_by, role=reader_role, deed=Deed.REGISTER, at=at, about=about)
    else:
        allow(by=hand.person, role=hand.role, deed=Deed.CONSENT, at=at, about=about or NOTHING)
    if hand.role not in roles_needed(version):
        needed = ", ".join(role.label for role in roles_needed(version))
        raise Refused(
            Reason(
                f"{name} does not need a decision of the {hand.role.label}; it needs: {needed}.",
                code="consent.not_needed",
            )
        )


def _registering_role(person: Person, at: datetime) -> Role:
    heads = RoleAssignment.objects.filter(person=person, role=Role.HEAD_OF_COLLECTIONS)
    registrars = RoleAssignment.objects.filter(person=person, role=Role.REGISTRAR)
    return Role.HEAD_OF_COLLECTIONS if heads and not registrars else Role.REGISTRAR


def standing_of(person: Person, role: Role, proposal: Proposal, at: datetime) -> Standing:
    """Return whether the person decides in their own role or as somebody's named deputy."""
    day = museum_day(at)
    live = Q(from_on__lte=day) & (Q(until_on=None) | Q(until_on__gte=day))
    own = (
        RoleAssignment.objects.filter(live, person=person, role=role).exists()
        or GuestPass.objects.filter(live, person=person, role=role).exists()
    )
    if own and role is Role.CURATOR and proposal.showing is not None:
        own = proposal.showing.exhibition.curators.filter(pk=person.pk).exists() or (
            proposal.showing.exhibition.manager_id == person.pk
        )
    if own:
        return Standing()
    terms = DeputyTerm.objects.filter(
        deputy=person, role=role, from_on__lte=day, until_on__gte=day
    ).select_related("for_person")
    if role is Role.CURATOR and proposal.showing is not None:
        terms = terms.filter(for_person__curates=proposal.showing.exhibition)
    term = terms.order_by("pk").first()
    return Standing() if term is None else Standing(for_person=term.for_person, term=term)


def faults_of_word(told: CommunityWord | None, hand: Hand, at: datetime) -> Iterator[Reason]:
    """Yield what is missing of an answer that somebody puts on record for a community."""
    if told is None:
        return
    if not told.speaker.strip():
        yield Reason("Say who spoke for the community.", "speaker")
    if hand.scan is None:
        yield Reason("Attach the writing, or the note of what was said.", "scan")
    if told.given_at > at:
        yield Reason("The answer can't have been given in the future.", "given_at")


def spoken(told: CommunityWord | None) -> dict[str, str]:
    """The columns of a decision that say who spoke for a community, and how."""
    if told is None:
        return {}
    return {"community": told.community, "speaker": told.speaker.strip(), "how": told.how.value}


def faults_of_decision(
    *, decision: Decision, limits: str, valid_until: date | None, at: datetime
) -> Iterator[Reason]:
    """Yield what is wrong with the words of a decision."""
    if decision is Decision.AGREE_WITHIN_LIMITS and not limits.strip():
        yield Reason("Say which limits: without them nobody is bound by any.", "limits")
    if decision is Decision.AGREE and limits.strip():
        text = "You gave limits: then choose ‘agree within limits’, or take the limits out."
        yield Reason(text, "decision")
    if decision not in AGREED and not limits.strip():
        yield Reason("Say what should change, or why you refuse.", "limits")
    if valid_until is not None and valid_until < museum_day(at):
        yield Reason("The last day it counts lies in the past.", "valid_until")
