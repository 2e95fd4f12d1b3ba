"""Treatment as the gates see it: proposals, consents on a version, and the report at the end."""

from dataclasses import dataclass
from datetime import date
from typing import Final

from lifecycle.process.finding_effects import AskedKind
from lifecycle.process.stages import Role
from lifecycle.process.words import LightKind

ANSWER_DAYS: Final = 10
"""Working days in which whoever is asked for consent answers: our own default."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ConsentFacts:
    """One decision that the current version of a proposal needs, and how it stands.

    ``decided``: some answer was given; ``agreed``: it is a yes that still counts today.
    """

    role: Role
    community: str = ""
    """The source community that is asked; ``role`` is then who gets its answer."""

    person: str = ""
    person_id: int | None = None
    asked_on: date | None = None
    decided: bool = False
    agreed: bool = False
    limits: str = ""
    lapsed_on: date | None = None
    answer: str = ""

    @property
    def whose(self) -> str:
        """The party in words."""
        return f"source community ({self.community})" if self.community else self.role.label

    @property
    def key(self) -> str:
        """The party as a stable code."""
        return "source_community" if self.community else self.role.value

    @property
    def who(self) -> str:
        """Who spoke, or whose word is missing."""
        return self.person or f"the {self.whose}"


@dataclass(frozen=True, slots=True, kw_only=True)
class TreatedFace:
    face_id: int
    label: str
    before: frozenset[LightKind] = frozenset()
    after: frozenset[LightKind] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class DeviationFacts:
    """A deviation at the bench that somebody the version needs has not agreed to."""

    uid: str
    label: str
    since: date
    waits_for: tuple[Role, ...]
    community: str = ""
    """The source community whose agreement is missing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ProposalFacts:
    """A treatment proposal in its current version."""

    uid: str
    number: str
    version: int
    consents: tuple[ConsentFacts, ...] = ()
    aftercare: bool = False
    """It was made for this object after display."""

    faces: tuple[TreatedFace, ...] = ()
    open_deviations: tuple[str, ...] = ()
    deviations: tuple[DeviationFacts, ...] = ()
    """The same, with who is asked and the record of each."""

    report_no: str = ""
    report_signed: bool = False
    sent: bool = True
    version_uid: str = ""
    hours: float | None = None
    """Estimated hours at the bench."""

    start_not_before: date | None = None
    finish_by: date | None = None

    @property
    def label(self) -> str:
        return f"{self.number} version {self.version}"

    @property
    def consented(self) -> bool:
        return bool(self.consents) and all(consent.agreed for consent in self.consents)

    @property
    def limits(self) -> tuple[str, ...]:
        return tuple(consent.limits for consent in self.consents if consent.limits)


@dataclass(frozen=True, slots=True, kw_only=True)
class AskedAgainFacts:
    """Something that a finding made during treatment put in doubt, not settled yet.

    ``uid`` is the finding's; ``made_anew``: its owner said that it is made anew.
    """

    uid: str
    feature: str
    kind: AskedKind
    number: str
    because: str
    role: Role
    asked_on: date
    person: str = ""
    person_id: int | None = None
    made_anew: bool = False

    @property
    def what(self) -> str:
        return f"{self.kind.label} {self.number}"
