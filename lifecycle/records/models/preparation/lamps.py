"""Lamps in and around a case: what hangs where, how bright, since when and by whom."""

from django.db import models
from django.db.models import F, Q

from lifecycle.process.words import Word as ClosedList
from lifecycle.records.base import Kept, KeptQuerySet, choices, kept_history, one_of
from lifecycle.records.models.people import Person
from lifecycle.records.models.places import Place


class LampWhere(ClosedList):
    """Whether the heat of a lamp goes into the case."""

    INSIDE = "inside"
    PARTED = "parted"
    ROOM = "room"

    @property
    def label(self) -> str:
        return {
            "inside": "inside the case, in its air",
            "parted": "at the case, parted from its air",
            "room": "in the room",
        }[self.value]


class LampKind(ClosedList):
    LED = "led"
    HALOGEN = "halogen"
    FLUORESCENT = "fluorescent"
    FIBRE_OPTIC = "fibre_optic"
    OTHER = "other"

    @property
    def label(self) -> str:
        return {"led": "LED", "halogen": "tungsten halogen"}.get(self.value, super().label)


class UvKnownFrom(ClosedList):
    MEASURED = "measured"
    DATA_SHEET = "data_sheet"

    @property
    def label(self) -> str:
        return "measured with its filter in" if self is self.MEASURED else "its data sheet"


class Lamp(Kept):
    """One lamp as it hangs. ``changed_at`` is the moment since which it has been as it is."""

    place = models.ForeignKey(Place, on_delete=models.PROTECT, related_name="lamps")
    name = models.CharField("which lamp", max_length=20)
    where = models.CharField(max_length=8, choices=choices(LampWhere))
    position = models.CharField("where it hangs", max_length=120)
    kind = models.CharField(max_length=12, choices=choices(LampKind))
    type_text = models.CharField("type, as on its label", max_length=120, blank=True)
    power_w = models.DecimalField("power, W", max_digits=6, decimal_places=1, null=True, blank=True)
    filter = models.CharField(max_length=120, blank=True)
    uv = models.DecimalField("UV, µW/lm", max_digits=6, decimal_places=1, null=True, blank=True)
    uv_known_from = models.CharField(
        "UV known from", max_length=10, choices=choices(UvKnownFrom), blank=True
    )
    distance_mm = models.PositiveIntegerField("distance to the object, mm", null=True, blank=True)
    dim_percent = models.PositiveSmallIntegerField(
        "level", null=True, blank=True, help_text="Of its full light."
    )
    aim = models.CharField("aimed at", max_length=120, blank=True)
    hot = models.BooleanField("hot to the touch when lit", default=False)
    changed_at = models.DateTimeField("as it is since")
    changed_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    heat_changed_at = models.DateTimeField(
        "its heat in the case changed last at", null=True, blank=True
    )
    taken_out_at = models.DateTimeField(null=True, blank=True)
    edition = models.PositiveIntegerField("times saved", default=1)

    objects = KeptQuerySet["Lamp"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            one_of("where", LampWhere, "lamp_where_known"),
            one_of("kind", LampKind, "lamp_kind_known"),
            one_of("uv_known_from", UvKnownFrom, "lamp_uv_known_from_known", blank=True),
            models.UniqueConstraint(
                fields=["place", "name"],
                condition=Q(taken_out_at__isnull=True),
                name="lamp_name_once_a_place",
            ),
            models.CheckConstraint(
                condition=~Q(name="") & ~Q(position=""), name="lamp_says_which_and_where"
            ),
            models.CheckConstraint(
                condition=~Q(kind="other") | ~Q(type_text=""), name="lamp_other_says_what"
            ),
            models.CheckConstraint(
                condition=Q(power_w__isnull=True) | Q(power_w__gt=0), name="lamp_power_positive"
            ),
            models.CheckConstraint(
                condition=Q(uv__isnull=True, uv_known_from="")
                | (Q(uv__isnull=False, uv__gte=0) & ~Q(uv_known_from="")),
                name="lamp_uv_says_how_it_is_known",
            ),
            models.CheckConstraint(
                condition=Q(distance_mm__isnull=True) | Q(distance_mm__gt=0),
                name="lamp_distance_positive",
            ),
            models.CheckConstraint(
                condition=Q(dim_percent__isnull=True) | Q(dim_percent__lte=100),
                name="lamp_level_at_most_full",
            ),
            models.CheckConstraint(
                condition=Q(taken_out_at__isnull=True) | Q(taken_out_at=F("changed_at")),
                name="lamp_taken_out_last",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name} (#{self.pk})"
