"""A case that was opened: when, by whom, why, and what the air inside did."""

from django.db import models
from django.db.models import F, Q

from lifecycle.process.words import Word
from lifecycle.records.base import AppendOnly, AppendOnlyQuerySet, choices, one_of


class WhyOpened(Word):
    OBJECT_HANDLED = "object_handled"
    LOOKED_AT = "looked_at"
    CLEANED = "cleaned"
    CAPTION_REPLACED = "caption_replaced"
    LAMP = "lamp"
    BUFFER = "buffer"
    LOGGER_OR_TRAP = "logger_or_trap"
    FILMING = "filming"
    VISIT = "visit"
    OTHER = "other"

    @property
    def label(self) -> str:
        return _LABELS.get(self, super().label)


_LABELS = {
    WhyOpened.LAMP: "work on the lamps",
    WhyOpened.BUFFER: "buffer renewed",
    WhyOpened.LOGGER_OR_TRAP: "logger or insect trap",
    WhyOpened.VISIT: "visit",
}


class CaseOpening(AppendOnly):
    """One opening of a case. Installs, turns and taking down open it too and are told of anyway."""

    place = models.ForeignKey(
        "records.Place", on_delete=models.PROTECT, related_name="case_openings"
    )
    why = models.CharField(max_length=20, choices=choices(WhyOpened))
    note = models.CharField(max_length=200, blank=True, default="")
    opened_at = models.DateTimeField()
    open_minutes = models.PositiveSmallIntegerField("minutes open", null=True, blank=True)
    opened_by = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")
    rh_before = models.DecimalField(
        "humidity inside before [% RH]", max_digits=4, decimal_places=1, null=True, blank=True
    )
    rh_after = models.DecimalField(
        "humidity inside when closed again [% RH]",
        max_digits=4,
        decimal_places=1,
        null=True,
        blank=True,
    )
    entered_at = models.DateTimeField()
    entered_by = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")

    objects = AppendOnlyQuerySet["CaseOpening"].as_manager()

    class Meta:
        indexes = [models.Index(fields=["place", "opened_at"], name="case_opening_place_at")]
        constraints = [
            one_of("why", WhyOpened, "case_opening_why_known"),
            models.CheckConstraint(
                condition=~Q(why=WhyOpened.OTHER) | ~Q(note=""), name="case_opening_other_says_what"
            ),
            models.CheckConstraint(
                condition=Q(entered_at__gte=F("opened_at")), name="case_opening_before_entered"
            ),
            models.CheckConstraint(
                condition=Q(rh_before__isnull=True) | Q(rh_before__range=(0, 100)),
                name="case_opening_rh_before",
            ),
            models.CheckConstraint(
                condition=Q(rh_after__isnull=True) | Q(rh_after__range=(0, 100)),
                name="case_opening_rh_after",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.why} (#{self.pk})"
