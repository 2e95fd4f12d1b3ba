"""Consents: who agreed to which version, within which limits, until when."""

from typing import Final

from django.db import models
from django.db.models import Q

from lifecycle.process.stages import Role
from lifecycle.process.words import Word as ClosedList
from lifecycle.records.base import (
    AppendOnly,
    AppendOnlyQuerySet,
    Kept,
    KeptQuerySet,
    choices,
    kept_history,
    one_of,
)
from lifecycle.records.models.objects import Face
from lifecycle.records.models.people import DeputyTerm, Organisation, Person
from lifecycle.records.models.pictures import Document
from lifecycle.records.models.signing import Signature
from lifecycle.records.models.treatment.proposals import ProposalVersion
from lifecycle.records.models.words import Word


class Decision(ClosedList):
    AGREE = "agree"
    AGREE_WITHIN_LIMITS = "agree_within_limits"
    CHANGE_ASKED = "change_asked"
    REFUSE = "refuse"


AGREED = frozenset({Decision.AGREE, Decision.AGREE_WITHIN_LIMITS})
CONSENTING = (Role.CURATOR, Role.HEAD_OF_COLLECTIONS, Role.LENDER)
SOURCE_COMMUNITY: Final = "source_community"
"""The party nobody signs in for: its answer is put on record by a member of staff."""

PARTIES: Final = (
    *((role.value, role.label) for role in CONSENTING),
    (SOURCE_COMMUNITY, "source community"),
)


class HowGiven(ClosedList):
    """How an answer came that nobody gave at the screen."""

    LETTER = "letter"
    EMAIL = "email"
    MEETING = "meeting"
    CALL = "call"

    @property
    def label(self) -> str:
        return {
            "letter": "by letter",
            "email": "by e-mail",
            "meeting": "at a meeting",
            "call": "by telephone",
        }[self.value]


def _limits_stated(name: str) -> models.CheckConstraint:
    """'Within limits' without the limits would bind nobody; a refusal says why."""
    return models.CheckConstraint(condition=Q(decision=Decision.AGREE) | ~Q(limits=""), name=name)


def community_told(name: str) -> models.CheckConstraint:
    """A community's answer names it, who spoke for it, and how; nobody else's does."""
    told = ~Q(community="") & ~Q(speaker="") & Q(how__in=[how.value for how in HowGiven])
    nothing = Q(community="", speaker="", how="")
    condition = Q(role=SOURCE_COMMUNITY) & told | ~Q(role=SOURCE_COMMUNITY) & nothing
    return models.CheckConstraint(condition=condition, name=name)


def consenting(name: str) -> models.CheckConstraint:
    return models.CheckConstraint(condition=Q(role__in=[code for code, _ in PARTIES]), name=name)


class Consent(AppendOnly):
    """One decision on one version; a change of mind is a new row."""

    version = models.ForeignKey(ProposalVersion, on_delete=models.PROTECT, related_name="consents")
    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="consents")
    role = models.CharField(max_length=24, choices=PARTIES)
    community = models.CharField("source community", max_length=200, blank=True)
    speaker = models.CharField("who spoke for the community", max_length=200, blank=True)
    how = models.CharField(
        "how the answer was given", max_length=8, choices=choices(HowGiven), blank=True
    )
    decision = models.CharField(max_length=20, choices=choices(Decision))
    limits = models.TextField("limits, or what should change and why", blank=True)
    valid_until = models.DateField(null=True, blank=True)
    for_person = models.ForeignKey(
        Person, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    deputy_term = models.ForeignKey(
        DeputyTerm, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    signature = models.OneToOneField(Signature, on_delete=models.PROTECT, related_name="+")
    decided_at = models.DateTimeField()
    entered_at = models.DateTimeField()
    entered_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")

    objects = AppendOnlyQuerySet["Consent"].as_manager()

    class Meta:
        constraints = [
            one_of("decision", Decision, "consent_decision_known"),
            consenting("consent_role_may_consent"),
            community_told("consent_community_told"),
            _limits_stated("consent_limits_stated"),
            models.CheckConstraint(
                condition=Q(for_person__isnull=True) | Q(deputy_term__isnull=False),
                name="consent_deputy_has_term",
            ),
            models.CheckConstraint(
                condition=Q(entered_at__gte=models.F("decided_at")),
                name="consent_entered_after_decided",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.decision} to {self.version_id} (#{self.pk})"

    @property
    def spoken_by(self) -> str:
        """Whose word it is: who spoke for a community, else the person who decided."""
        return self.speaker or self.person.full_name


class ConsentExclusion(AppendOnly):
    """A step the consent does not cover, on one face or on all of them."""

    consent = models.ForeignKey(Consent, on_delete=models.PROTECT, related_name="exclusions")
    step = models.ForeignKey(Word, on_delete=models.PROTECT, related_name="+")
    face = models.ForeignKey(
        Face, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )

    objects = AppendOnlyQuerySet["ConsentExclusion"].as_manager()

    def __str__(self) -> str:
        return f"not {self.step_id} on {self.face_id or 'any face'} (#{self.pk})"


class StandingConsent(Kept):
    """Minor steps agreed in advance for a class of object, with limits and an end."""

    standing_no = models.CharField(max_length=16, unique=True)
    object_type = models.ForeignKey(
        Word, on_delete=models.PROTECT, related_name="+", verbose_name="class of object"
    )
    limits = models.TextField()
    from_on = models.DateField()
    until_on = models.DateField()
    lender = models.ForeignKey(
        Organisation, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    lender_writing = models.ForeignKey(
        Document, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    written_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    written_at = models.DateTimeField()
    curator = models.ForeignKey(
        Person, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    curator_agreed_at = models.DateTimeField(null=True, blank=True)
    head = models.ForeignKey(
        Person, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    head_agreed_at = models.DateTimeField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)
    ended_by = models.ForeignKey(
        Person, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    ended_why = models.TextField(blank=True)

    objects = KeptQuerySet["StandingConsent"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(until_on__gte=models.F("from_on")), name="standing_days_ordered"
            ),
            models.CheckConstraint(condition=~Q(limits=""), name="standing_limits_stated"),
            models.CheckConstraint(
                condition=Q(lender__isnull=True, lender_writing__isnull=True)
                | Q(lender__isnull=False, lender_writing__isnull=False),
                name="standing_lender_in_writing",
            ),
            models.CheckConstraint(
                condition=Q(ended_at__isnull=True) | (Q(ended_by__isnull=False) & ~Q(ended_why="")),
                name="standing_end_says_why",
            ),
        ]

    def __str__(self) -> str:
        return self.standing_no


class StandingConsentStep(Kept):
    """One step word a standing consent names."""

    standing = models.ForeignKey(StandingConsent, on_delete=models.PROTECT, related_name="steps")
    step = models.ForeignKey(Word, on_delete=models.PROTECT, related_name="+")

    objects = KeptQuerySet["StandingConsentStep"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["standing", "step"], name="standing_step_once"),
        ]

    def __str__(self) -> str:
        return f"{self.step_id} in {self.standing_id} (#{self.pk})"
