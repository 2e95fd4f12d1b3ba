"""People, the roles they hold from–to, and the accounts some of them sign in with.

``Account`` is for signing in only. Signatures, history and letters point to ``Person``, since
couriers and people who sign on paper have no account.
"""

from typing import Any, ClassVar

from django.contrib.auth.models import AbstractUser
from django.db import models
from django.db.models import F, Q

from lifecycle.process.stages import Role
from lifecycle.process.words import Word
from lifecycle.records.base import Kept, KeptQuerySet, choices, kept_history, one_of


class OrganisationKind(Word):
    MUSEUM = "museum"
    LENDER = "lender"
    BORROWER = "borrower"
    SUPPLIER = "supplier"
    OTHER = "other"


class PaperSize(Word):
    A4 = "a4"
    LETTER = "letter"


class Account(AbstractUser):
    """Sign-in only; everything a person does points to their ``Person``."""

    identity = models.CharField(
        max_length=255,
        blank=True,
        help_text="This person at the house's single sign-on: the provider's word for 'sub'.",
    )

    class Meta(AbstractUser.Meta):
        constraints = [
            models.UniqueConstraint(
                fields=["identity"], condition=~Q(identity=""), name="account_identity_once"
            )
        ]

    def __str__(self) -> str:
        return self.username


class Organisation(Kept):
    name = models.CharField(max_length=200, unique=True)
    kind = models.CharField(max_length=16, choices=choices(OrganisationKind))
    contact = models.TextField(
        blank=True, help_text="Restricted: seen by registrars and the head of collections only."
    )

    objects = KeptQuerySet["Organisation"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [one_of("kind", OrganisationKind, "organisation_kind_known")]

    def __str__(self) -> str:
        return self.name


class Person(Kept):
    full_name = models.CharField(max_length=200, help_text="In full, never only initials.")
    organisation = models.ForeignKey(
        Organisation, on_delete=models.PROTECT, null=True, blank=True, related_name="people"
    )
    account = models.OneToOneField(
        Account, on_delete=models.PROTECT, null=True, blank=True, related_name="person"
    )
    email = models.EmailField(blank=True)
    letter_hour = models.PositiveSmallIntegerField(
        null=True, blank=True, default=7, help_text="Hour of the morning letter; empty: no letter."
    )
    zone = models.CharField(max_length=64, blank=True, help_text="Empty: the museum's zone.")
    ends_on = models.DateField(
        null=True, blank=True, help_text="Last day on which this person may sign in."
    )

    objects = KeptQuerySet["Person"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(letter_hour=None) | Q(letter_hour__lte=23), name="person_letter_hour"
            ),
            models.CheckConstraint(condition=~Q(full_name=""), name="person_named"),
        ]

    def __str__(self) -> str:
        return self.full_name


class RoleAssignment(Kept):
    """One role of one person, from–to; ``galleries`` bound what an attendant walks."""

    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="roles")
    role = models.CharField(max_length=24, choices=choices(Role))
    from_on = models.DateField()
    until_on = models.DateField(null=True, blank=True)
    galleries = models.ManyToManyField("records.Place", blank=True, related_name="walkers")
    trained = models.BooleanField(
        default=False, help_text="Trained to take light readings (attendants and volunteers)."
    )

    objects = KeptQuerySet["RoleAssignment"].as_manager()
    history = kept_history(m2m_fields=[galleries])

    class Meta:
        constraints = [
            one_of("role", Role, "role_known"),
            models.CheckConstraint(
                condition=Q(until_on=None) | Q(until_on__gte=F("from_on")), name="role_span_ordered"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.role} (#{self.pk})"


class DeputyTerm(Kept):
    """A named deputy with dates, who may consent in that role (decided point 6)."""

    for_person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="deputies")
    deputy = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="deputy_for")
    role = models.CharField(max_length=24, choices=choices(Role))
    from_on = models.DateField()
    until_on = models.DateField()

    objects = KeptQuerySet["DeputyTerm"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            one_of("role", Role, "deputy_role_known"),
            models.CheckConstraint(
                condition=Q(until_on__gte=F("from_on")), name="deputy_span_ordered"
            ),
            models.CheckConstraint(
                condition=~Q(for_person=F("deputy")), name="deputy_is_somebody_else"
            ),
        ]

    def __str__(self) -> str:
        return f"deputy (#{self.pk})"


class GuestPass(Kept):
    """Temporary limited access for a courier or a lender, to named objects only."""

    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="passes")
    role = models.CharField(
        max_length=24, choices=[(r.value, r.label) for r in (Role.COURIER, Role.LENDER)]
    )
    organisation = models.ForeignKey(Organisation, on_delete=models.PROTECT)
    museum_objects = models.ManyToManyField("records.MuseumObject", related_name="passes")
    from_on = models.DateField()
    until_on = models.DateField()

    objects = KeptQuerySet["GuestPass"].as_manager()
    history = kept_history(m2m_fields=[museum_objects])

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(role__in=[Role.COURIER, Role.LENDER]), name="pass_for_guests"
            ),
            models.CheckConstraint(
                condition=Q(until_on__gte=F("from_on")), name="pass_span_ordered"
            ),
        ]

    def __str__(self) -> str:
        return f"guest pass (#{self.pk})"


class Museum(Kept):
    """The one museum of this installation."""

    name = models.CharField(max_length=200)
    zone = models.CharField(max_length=64, default="UTC")
    is_demo = models.BooleanField(default=False)
    paper_size = models.CharField(
        max_length=8, choices=choices(PaperSize), default=PaperSize.A4.value
    )
    only = models.BooleanField(default=True, editable=False, unique=True)

    objects = KeptQuerySet["Museum"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(only=True), name="museum_only_one"),
            one_of("paper_size", PaperSize, "museum_paper_size_known"),
        ]

    def __str__(self) -> str:
        return self.name


class Counter(models.Model):
    """The last number given out for a prefix (RQ, CR, TP, PR ...); no history, only counts."""

    prefix = models.CharField(max_length=8, unique=True)
    last = models.PositiveIntegerField(default=0)

    objects: ClassVar[Any] = models.Manager()

    def __str__(self) -> str:
        return f"{self.prefix} {self.last}"
