"""The install check: one per object and position, closed by two people and a photograph."""

from django.db import models
from django.db.models import F, Q

from lifecycle.process.words import Word
from lifecycle.records.base import Coded, Kept, KeptQuerySet, choices, kept_history, one_of
from lifecycle.records.signable import Signable, signable_constraints


class ArrivalCompared(Word):
    """Condition at arrival against the check before install."""

    SAME = "same"
    CHANGED = "changed"
    CANNOT_TELL = "cannot_tell"


class Fitted(Word):
    RIGHT = "right"
    WRONG = "wrong"
    NOT_NEEDED = "not_needed"


class InstallCheck(Coded, Signable, Kept):
    """What two people saw when the object went into its place. Open until ``closed_at``.

    It is used up by the display period that names it; a struck period needs a new check.

    An exception found on the spot (upside down, wrong mount) leaves the check open; the object
    is not on display before somebody has put it right and closed it.
    """

    showing = models.ForeignKey(
        "records.Showing", on_delete=models.PROTECT, related_name="install_checks"
    )
    face = models.ForeignKey("records.Face", on_delete=models.PROTECT, related_name="+")
    place = models.ForeignKey(
        "records.Place", on_delete=models.PROTECT, related_name="install_checks"
    )
    batch = models.UUIDField(null=True, blank=True)
    as_planned = models.BooleanField("entered with 'all as planned'", default=False)
    matches_tag = models.BooleanField("object matches tag and picture", default=False)
    arrival = models.CharField(
        max_length=12, choices=choices(ArrivalCompared), blank=True, default=""
    )
    face_right = models.BooleanField("the planned face is to be seen", default=False)
    way_up_right = models.BooleanField("way up right", default=False)
    picture = models.ForeignKey(
        "records.Picture", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    mount_fits = models.BooleanField("mount fits, no stress", default=False)
    reading_point = models.ForeignKey(
        "records.ReadingPoint", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    meter = models.ForeignKey(
        "records.Instrument", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    reading = models.ForeignKey(
        "records.LightReading", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    lux = models.DecimalField(max_digits=7, decimal_places=1, null=True, blank=True)
    uv = models.DecimalField(max_digits=7, decimal_places=1, null=True, blank=True)
    case_rh = models.DecimalField(max_digits=4, decimal_places=1, null=True, blank=True)
    case_t_c = models.DecimalField(max_digits=4, decimal_places=1, null=True, blank=True)
    caption = models.CharField(max_length=12, choices=choices(Fitted), blank=True, default="")
    facsimile = models.CharField(max_length=12, choices=choices(Fitted), blank=True, default="")
    person_1 = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")
    person_2 = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")
    courier = models.ForeignKey(
        "records.Person", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    courier_note = models.TextField(blank=True, default="")
    exception = models.TextField(blank=True, default="")
    deviation = models.TextField(blank=True, default="")
    deviation_accepted_by = models.ForeignKey(
        "records.Person", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    begun_at = models.DateTimeField()
    closed_at = models.DateTimeField(null=True, blank=True)

    objects = KeptQuerySet["InstallCheck"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            *signable_constraints("installcheck"),
            one_of("arrival", ArrivalCompared, "install_arrival_known", blank=True),
            one_of("caption", Fitted, "install_caption_known", blank=True),
            one_of("facsimile", Fitted, "install_facsimile_known", blank=True),
            models.CheckConstraint(condition=~Q(person_1=F("person_2")), name="install_two_people"),
            models.CheckConstraint(
                condition=Q(closed_at__isnull=True)
                | (
                    Q(
                        matches_tag=True,
                        face_right=True,
                        way_up_right=True,
                        picture__isnull=False,
                        mount_fits=True,
                        lux__isnull=False,
                        uv__isnull=False,
                        closed_at__gte=F("begun_at"),
                    )
                    & ~Q(arrival="")
                    & Q(caption__in=["right", "not_needed"])
                    & Q(facsimile__in=["right", "not_needed"])
                ),
                name="install_closed_complete",
            ),
            models.CheckConstraint(
                condition=Q(deviation="") | Q(deviation_accepted_by__isnull=False),
                name="install_deviation_accepted",
            ),
            models.UniqueConstraint(
                fields=["showing"],
                condition=Q(closed_at__isnull=True),
                name="install_one_open_per_showing",
            ),
        ]

    def __str__(self) -> str:
        return f"install check #{self.pk}"
