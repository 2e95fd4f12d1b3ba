"""Treatment proposals: what is proposed for an object, version by version."""

from typing import ClassVar

from django.db import models
from django.db.models import Q

from lifecycle.process.words import Word as ClosedList
from lifecycle.records.base import Kept, KeptQuerySet, choices, kept_history, one_of
from lifecycle.records.models.condition import ConditionReport
from lifecycle.records.models.objects import Face, MuseumObject
from lifecycle.records.models.people import Person
from lifecycle.records.models.pictures import Picture
from lifecycle.records.models.showings import Showing
from lifecycle.records.models.treatment.materials import Material
from lifecycle.records.models.words import Word
from lifecycle.records.signable import Signable, signable_constraints


class Aim(ClosedList):
    STABILISE = "stabilise"
    MAKE_LEGIBLE = "make_legible"
    FIT_FOR_MOUNT = "fit_for_mount"
    REVERSE_OLD_REPAIR = "reverse_old_repair"
    CLEAN = "clean"
    REDUCE_HAZARD = "reduce_hazard"


class RemovedMatter(ClosedList):
    """What becomes of old repairs, labels and the like."""

    NONE = "none"
    KEPT_WITH_FILE = "kept_with_file"
    DISCARDED = "discarded"

    @property
    def label(self) -> str:
        return {
            "none": "nothing is removed",
            "kept_with_file": "kept with the object file",
            "discarded": "discarded, with consent",
        }[self.value]


class Undo(ClosedList):
    """Can it be undone, or at least treated again?"""

    CAN_BE_UNDONE = "can_be_undone"
    CAN_BE_TREATED_AGAIN = "can_be_treated_again"
    CANNOT_BE_UNDONE = "cannot_be_undone"
    NOTHING_DONE = "nothing_done"

    @property
    def label(self) -> str:
        return {
            "can_be_undone": "can be undone",
            "can_be_treated_again": "can't be undone, can be treated again",
            "cannot_be_undone": "can't be undone",
            "nothing_done": "nothing is done",
        }[self.value]

    @property
    def can_be_undone(self) -> bool | None:
        """Yes or no; nothing where nothing is done. To treat it again is not to undo it."""
        return None if self is Undo.NOTHING_DONE else self is Undo.CAN_BE_UNDONE


class Proposal(Kept):
    """One proposal; what it says stands in its versions."""

    proposal_no = models.CharField(max_length=16, unique=True)
    museum_object = models.ForeignKey(
        MuseumObject, on_delete=models.PROTECT, related_name="proposals"
    )
    showing = models.ForeignKey(
        Showing, null=True, blank=True, on_delete=models.PROTECT, related_name="proposals"
    )
    aftercare = models.BooleanField(default=False)
    opened_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    opened_at = models.DateTimeField()
    dropped_at = models.DateTimeField(null=True, blank=True)
    dropped_why = models.TextField(blank=True)

    objects = KeptQuerySet["Proposal"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(dropped_at__isnull=True) | ~Q(dropped_why=""),
                name="proposal_dropped_says_why",
            ),
        ]

    def __str__(self) -> str:
        return self.proposal_no


class ProposalVersion(Signable, Kept):
    """What is proposed; sending signs and freezes it, and consent counts for this version alone."""

    proposal = models.ForeignKey(Proposal, on_delete=models.PROTECT, related_name="versions")
    version = models.PositiveSmallIntegerField()
    edition = models.PositiveIntegerField("times saved", default=1)
    based_on = models.ForeignKey(
        ConditionReport, null=True, blank=True, on_delete=models.PROTECT, related_name="proposals"
    )
    aim = models.CharField(max_length=20, choices=choices(Aim), blank=True)
    aim_text = models.TextField("aim in words", blank=True)
    state_text = models.TextField("state, in a few sentences", blank=True)
    why = models.TextField("why this option", blank=True)
    tests_first = models.TextField("tests first: which, where", blank=True)
    removed_matter = models.CharField(
        max_length=16, choices=choices(RemovedMatter), default=RemovedMatter.NONE
    )
    removed_where = models.TextField("where removed matter is kept", blank=True)
    effect_on_display = models.TextField(blank=True)
    stop_rules = models.TextField("what would make me stop and ask again", blank=True)
    hours_est = models.DecimalField(
        "estimated hours", max_digits=6, decimal_places=2, null=True, blank=True
    )
    start_not_before = models.DateField(null=True, blank=True)
    finish_by = models.DateField(null=True, blank=True)
    reversible = models.BooleanField("can be undone", null=True, blank=True)
    community = models.CharField("source community it was sent to", max_length=200, blank=True)

    objects = KeptQuerySet["ProposalVersion"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            *signable_constraints("proposalversion"),
            one_of("aim", Aim, "proposal_aim_known", blank=True),
            one_of("removed_matter", RemovedMatter, "proposal_removed_known"),
            models.UniqueConstraint(fields=["proposal", "version"], name="proposal_version_once"),
            models.UniqueConstraint(
                fields=["proposal"],
                condition=Q(digest=""),
                name="proposal_one_unsent_version",
            ),
            models.CheckConstraint(condition=Q(version__gte=1), name="proposal_version_from_one"),
            models.CheckConstraint(
                condition=Q(hours_est__isnull=True) | Q(hours_est__gt=0),
                name="proposal_hours_positive",
            ),
            models.CheckConstraint(
                condition=Q(start_not_before__isnull=True)
                | Q(finish_by__isnull=True)
                | Q(finish_by__gte=models.F("start_not_before")),
                name="proposal_days_ordered",
            ),
            models.CheckConstraint(
                condition=Q(digest="")
                | (
                    Q(based_on__isnull=False)
                    & Q(reversible__isnull=False)
                    & Q(hours_est__isnull=False)
                    & Q(finish_by__isnull=False)
                    & ~Q(aim="")
                    & ~Q(why="")
                    & ~Q(stop_rules="")
                ),
                name="proposal_sent_is_complete",
            ),
        ]

    def __str__(self) -> str:
        return f"v{self.version} (#{self.pk})"


class ProposalPicture(Kept):
    """A picture that shows what the version speaks of: one whole, and details."""

    frozen_with: ClassVar[str] = "version"

    version = models.ForeignKey(ProposalVersion, on_delete=models.PROTECT, related_name="pictures")
    picture = models.ForeignKey(Picture, on_delete=models.PROTECT, related_name="+")
    left_out = models.BooleanField(default=False)

    objects = KeptQuerySet["ProposalPicture"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["version", "picture"], name="proposal_picture_once"),
        ]

    def __str__(self) -> str:
        return f"picture {self.picture_id} in {self.version_id} (#{self.pk})"


class ProposalOption(Kept):
    """One way that was weighed; 'do nothing' is always one of them."""

    frozen_with: ClassVar[str] = "version"

    version = models.ForeignKey(ProposalVersion, on_delete=models.PROTECT, related_name="options")
    order = models.PositiveSmallIntegerField()
    do_nothing = models.BooleanField(default=False)
    what = models.TextField()
    gain = models.TextField(blank=True)
    risk = models.TextField(blank=True)
    undo = models.CharField("can it be undone", max_length=22, choices=choices(Undo))
    hours = models.DecimalField(max_digits=6, decimal_places=2, null=True, blank=True)
    cost = models.CharField(max_length=80, blank=True)
    chosen = models.BooleanField(default=False)
    left_out = models.BooleanField(default=False)

    objects = KeptQuerySet["ProposalOption"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            one_of("undo", Undo, "option_undo_known"),
            models.UniqueConstraint(
                fields=["version"],
                condition=Q(chosen=True, left_out=False),
                name="option_one_chosen",
            ),
            models.UniqueConstraint(
                fields=["version"],
                condition=Q(do_nothing=True, left_out=False),
                name="option_do_nothing_once",
            ),
            models.CheckConstraint(
                condition=Q(hours__isnull=True) | Q(hours__gte=0), name="option_hours_not_negative"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.what[:60]} (#{self.pk})"


class ProposalMaterial(Kept):
    """A material the version speaks for, with strength and solvent."""

    frozen_with: ClassVar[str] = "version"

    version = models.ForeignKey(ProposalVersion, on_delete=models.PROTECT, related_name="materials")
    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="planned_in")
    concentration = models.DecimalField(
        "strength, %", max_digits=5, decimal_places=2, null=True, blank=True
    )
    solvent = models.CharField("in what", max_length=80, blank=True)
    left_out = models.BooleanField(default=False)

    objects = KeptQuerySet["ProposalMaterial"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(concentration__isnull=True)
                | Q(concentration__gt=0, concentration__lte=100),
                name="planned_strength_is_percent",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.material_id} in {self.version_id} (#{self.pk})"


class PlannedStep(Kept):
    """A kind of step the version speaks for, and where."""

    frozen_with: ClassVar[str] = "version"

    version = models.ForeignKey(ProposalVersion, on_delete=models.PROTECT, related_name="steps")
    order = models.PositiveSmallIntegerField()
    step = models.ForeignKey(Word, on_delete=models.PROTECT, related_name="+")
    face = models.ForeignKey(
        Face, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    area = models.CharField(max_length=160, blank=True)
    limits = models.TextField(blank=True)
    left_out = models.BooleanField(default=False)

    objects = KeptQuerySet["PlannedStep"].as_manager()
    history = kept_history()

    def __str__(self) -> str:
        return f"step {self.order} of {self.version_id} (#{self.pk})"
