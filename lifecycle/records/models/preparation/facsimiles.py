"""Facsimiles: their own numbers, never an object number; and captions."""

from django.db import models
from django.db.models import Q

from lifecycle.process.words import Word as ClosedList
from lifecycle.records.base import Kept, KeptQuerySet, choices, kept_history, one_of
from lifecycle.records.models.objects import Face
from lifecycle.records.models.people import Person
from lifecycle.records.models.pictures import Picture
from lifecycle.records.models.places import Place
from lifecycle.records.models.showings import Showing


class FacsimileUse(ClosedList):
    SHOWS_OTHER_FACE = "shows_other_face"
    STANDS_IN = "stands_in"
    HANDLED = "handled"
    TRAVELS = "travels"

    @property
    def label(self) -> str:
        return {
            "shows_other_face": "shows the other face",
            "stands_in": "stands in while the original rests",
            "handled": "handled by visitors",
            "travels": "travels",
        }[self.value]


class FacsimileState(ClosedList):
    """In the order in which a facsimile passes through them."""

    ASKED = "asked"
    MASTER_READY = "master_ready"
    PROOF = "proof"
    APPROVED = "approved"
    DELIVERED = "delivered"
    PLACED = "placed"
    TAKEN_OUT = "taken_out"
    KEPT = "kept"
    DESTROYED = "destroyed"


FROM_PROOF = frozenset(FacsimileState) - {FacsimileState.ASKED, FacsimileState.MASTER_READY}
FROM_APPROVED = FROM_PROOF - {FacsimileState.PROOF}
FROM_DELIVERED = FROM_APPROVED - {FacsimileState.APPROVED}


class AfterShow(ClosedList):
    KEEP_FOR_NEXT = "keep_for_next"
    EDUCATION = "education"
    DESTROY = "destroy"

    @property
    def label(self) -> str:
        return {
            "keep_for_next": "keep for next time",
            "education": "give to education",
            "destroy": "destroy",
        }[self.value]


def _needs(
    states: frozenset[FacsimileState], name: str, **wanted: object
) -> models.CheckConstraint:
    """A state that the facsimile may stand at only when its evidence is there."""
    names = sorted(state.value for state in states)
    return models.CheckConstraint(condition=~Q(state__in=names) | Q(**wanted), name=name)


class Facsimile(Kept):
    """A copy of one face; marked for ever as not from the collection."""

    facsimile_no = models.CharField(max_length=16, unique=True)
    of_face = models.ForeignKey(Face, on_delete=models.PROTECT, related_name="facsimiles")
    showing = models.ForeignKey(
        Showing, null=True, blank=True, on_delete=models.PROTECT, related_name="facsimiles"
    )
    use = models.CharField(max_length=18, choices=choices(FacsimileUse))
    scale_percent = models.DecimalField("scale, %", max_digits=6, decimal_places=2, default=100)
    print_method = models.CharField(max_length=120, blank=True)
    paper = models.CharField(max_length=120, blank=True)
    trim = models.CharField(max_length=120, blank=True)
    aged_look = models.BooleanField(default=False)
    mark_on_back = models.CharField("permanent mark on the back", max_length=160)
    public_label = models.CharField(max_length=240)
    state = models.CharField(
        max_length=14, choices=choices(FacsimileState), default=FacsimileState.ASKED
    )
    with_whom = models.ForeignKey(
        Person, null=True, blank=True, on_delete=models.PROTECT, related_name="facsimiles"
    )
    needed_by = models.DateField(null=True, blank=True)
    asked_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    asked_at = models.DateTimeField()
    master = models.ForeignKey(
        Picture, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    proof_seen_by = models.ForeignKey(
        Person, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    proof_seen_at = models.DateTimeField(null=True, blank=True)
    proof_light = models.CharField("proof seen in which light", max_length=120, blank=True)
    approved_by = models.ForeignKey(
        Person, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    approved_at = models.DateTimeField(null=True, blank=True)
    delivered_by = models.ForeignKey(
        Person, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    delivered_at = models.DateTimeField(null=True, blank=True)
    mark_seen_on_back = models.BooleanField(default=False)
    placed_at = models.DateTimeField(null=True, blank=True)
    placed_where = models.ForeignKey(
        Place, null=True, blank=True, on_delete=models.PROTECT, related_name="facsimiles"
    )
    taken_out_at = models.DateTimeField(null=True, blank=True)
    after_show = models.CharField(
        max_length=14, choices=choices(AfterShow), default=AfterShow.KEEP_FOR_NEXT
    )
    ended_at = models.DateTimeField("kept or destroyed at", null=True, blank=True)
    ended_note = models.TextField("where it is kept, or how it was destroyed", blank=True)

    objects = KeptQuerySet["Facsimile"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            one_of("use", FacsimileUse, "facsimile_use_known"),
            one_of("state", FacsimileState, "facsimile_state_known"),
            one_of("after_show", AfterShow, "facsimile_after_show_known"),
            models.CheckConstraint(
                condition=Q(facsimile_no__startswith="FX-"), name="facsimile_own_numbers"
            ),
            models.CheckConstraint(
                condition=Q(scale_percent__gt=0, scale_percent__lte=1000),
                name="facsimile_scale_possible",
            ),
            models.CheckConstraint(
                condition=~Q(mark_on_back="") & ~Q(public_label=""), name="facsimile_is_marked"
            ),
            _needs(
                frozenset(FacsimileState) - {FacsimileState.ASKED},
                "facsimile_master_there",
                master__isnull=False,
            ),
            _needs(
                FROM_PROOF,
                "facsimile_proof_seen",
                proof_seen_at__isnull=False,
                proof_seen_by__isnull=False,
            ),
            _needs(
                FROM_APPROVED,
                "facsimile_approved",
                approved_at__isnull=False,
                approved_by__isnull=False,
            ),
            _needs(
                FROM_DELIVERED,
                "facsimile_delivered_marked",
                delivered_at__isnull=False,
                mark_seen_on_back=True,
            ),
            _needs(
                frozenset({FacsimileState.PLACED}),
                "facsimile_placed_somewhere",
                placed_at__isnull=False,
                placed_where__isnull=False,
            ),
        ]

    def __str__(self) -> str:
        return self.facsimile_no


class Caption(Kept):
    """The words beside the object, per face when they change at a turn."""

    showing = models.ForeignKey(Showing, on_delete=models.PROTECT, related_name="captions")
    face = models.ForeignKey(
        Face, null=True, blank=True, on_delete=models.PROTECT, related_name="captions"
    )
    edition = models.PositiveIntegerField("times saved", default=1)
    text = models.TextField()
    facsimile_wording = models.TextField(
        "words about the facsimile", blank=True, help_text="Says that it is a facsimile, and why."
    )
    with_whom = models.ForeignKey(
        Person, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    approved_by = models.ForeignKey(
        Person, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    approved_at = models.DateTimeField(null=True, blank=True)

    objects = KeptQuerySet["Caption"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["showing", "face"], name="caption_one_per_face"),
            models.UniqueConstraint(
                fields=["showing"], condition=Q(face__isnull=True), name="caption_one_for_all_faces"
            ),
            models.CheckConstraint(condition=~Q(text=""), name="caption_says_something"),
            models.CheckConstraint(
                condition=Q(approved_at__isnull=True) | Q(approved_by__isnull=False),
                name="caption_approved_by_someone",
            ),
        ]

    def __str__(self) -> str:
        return f"caption of {self.showing_id} (#{self.pk})"
