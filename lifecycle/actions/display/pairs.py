"""Two pairs of hands: both sign, one of them is a conservator, nobody signs for another."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from lifecycle.actions.allowing import allow
from lifecycle.actions.people_named import faults_of_pair
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.actions.signing import Hand, sign
from lifecycle.process.rights import Deed, SubjectFacts
from lifecycle.process.stages import Role
from lifecycle.process.words import SignCapacity


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """The two who stand at the case. The one who leads is a conservator."""

    lead: Hand
    second: Hand


def pair_of(one: Hand, other: Hand) -> Pair:
    """Put the conservator first.

    :raises Refused: one person twice, or no conservator among the two
    """
    faults = list(
        faults_of_pair(one.person, other.person, first_field="first", second_field="second_person")
    )
    if faults:
        raise Refused(faults)
    if one.role is Role.CONSERVATOR:
        return Pair(lead=one, second=other)
    if other.role is Role.CONSERVATOR:
        return Pair(lead=other, second=one)
    text = "One of the two is a conservator: name one as the second person."
    raise Refused(Reason(text, "second_person", "people.conservator"))


def allow_pair(pair: Pair, *, at: datetime, about: SubjectFacts) -> None:
    """Refuse when one of the two may not handle this object in the role named."""
    for hand in (pair.lead, pair.second):
        allow(by=hand.person, role=hand.role, deed=Deed.HANDLE, at=at, about=about)


def sign_by_two(*, record: Any, pair: Pair, at: datetime) -> None:
    """Both sign the same words; the first signature freezes them."""
    sign(record=record, capacity=SignCapacity.AUTHOR, hand=pair.lead, at=at)
    sign(record=record, capacity=SignCapacity.CO_AUTHOR, hand=pair.second, at=at)
