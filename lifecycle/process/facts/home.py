"""What stands between an object and its home: movements, loan, papers, open ends."""

from dataclasses import dataclass
from datetime import date, datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class MovementFacts:
    """One carrying of the object for this showing."""

    uid: str
    number: str
    to_place: str
    to_home: bool = False
    to_position: bool = False
    to_next: bool = False
    """It carries the object on to its next showing."""

    sent_signed: bool = False
    received_signed: bool = False
    arrived_at: datetime | None = None
    confirmed: bool = False
    left_at: datetime | None = None

    @property
    def done(self) -> bool:
        return self.sent_signed and self.received_signed and self.confirmed


@dataclass(frozen=True, slots=True, kw_only=True)
class LoanFacts:
    """The agreement under which a lent object is here."""

    number: str
    uid: str = ""
    lender: str = ""
    agreement_signed: bool = False
    clauses_entered: bool = False
    leave_asked: bool = False
    leave_answer: str = ""
    leave_refused: bool = False
    courier_at_install: bool = False
    courier_at_turn: bool = False
    courier_at_deinstall: bool = False
    exit_authorised: bool = False
    receipt_signed: bool = False
    ends_on: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperFacts:
    """A print of this showing that is expected back and is not."""

    number: str
    title: str
    expected_on: date
    printed_by: str = ""
    printed_by_id: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class IncidentFacts:
    uid: str
    number: str


@dataclass(frozen=True, slots=True, kw_only=True)
class HomeFacts:
    movements: tuple[MovementFacts, ...] = ()
    loan: LoanFacts | None = None
    papers_out: tuple[PaperFacts, ...] = ()
    open_incidents: tuple[IncidentFacts, ...] = ()
    resting_stored: bool = False
