"""Colour spots: a place on a face that is read again and again, with instrument and geometry."""

from django.db import models
from django.db.models import F, Q

from lifecycle.process.stages import Role
from lifecycle.process.words import Word
from lifecycle.records.base import (
    AppendOnly,
    AppendOnlyQuerySet,
    Kept,
    KeptQuerySet,
    choices,
    kept_history,
    one_of,
)


class Geometry(Word):
    """How the instrument lights the spot and looks at it; readings of two don't compare."""

    AT_45 = "45_0"
    SPHERE_SCI = "d8_sci"
    SPHERE_SCE = "d8_sce"

    @property
    def label(self) -> str:
        return _GEOMETRIES[self.value]


_GEOMETRIES = {
    "45_0": "45°/0°",
    "d8_sci": "d/8°, specular included (SCI)",
    "d8_sce": "d/8°, specular excluded (SCE)",
}


class Illuminant(Word):
    """The light that L*, a* and b* are computed for."""

    D65 = "D65"
    D50 = "D50"
    A = "A"


class Observer(Word):
    """The standard observer that they are computed for."""

    TWO = "2"
    TEN = "10"

    @property
    def label(self) -> str:
        return f"{self.value}°"


class ColourSpot(Kept):
    """A spot by its number, which stays for the life of the object, and its place on the picture.

    The template lies on the object in the same way each time: what it holds to is in words.
    """

    museum_object = models.ForeignKey(
        "records.MuseumObject", on_delete=models.PROTECT, related_name="colour_spots"
    )
    face = models.ForeignKey("records.Face", on_delete=models.PROTECT, related_name="colour_spots")
    number = models.PositiveIntegerField()
    what = models.CharField("what is read", max_length=120)
    picture = models.ForeignKey(
        "records.Picture",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="shows_colour_spots",
    )
    box_left = models.DecimalField("from left", max_digits=5, decimal_places=2)
    box_top = models.DecimalField("from top", max_digits=5, decimal_places=2)
    template = models.CharField(
        max_length=240, help_text="What the template is and which edges or corners it is held to."
    )
    given_up_at = models.DateTimeField(null=True, blank=True)
    given_up_reason = models.CharField(max_length=240, blank=True, default="")

    objects = KeptQuerySet["ColourSpot"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["museum_object", "number"], name="colourspot_number_for_life"
            ),
            models.CheckConstraint(
                condition=Q(box_left__range=(0, 100), box_top__range=(0, 100)),
                name="colourspot_on_the_picture",
            ),
            models.CheckConstraint(condition=~Q(what=""), name="colourspot_says_what"),
            models.CheckConstraint(condition=~Q(template=""), name="colourspot_has_a_template"),
            models.CheckConstraint(
                condition=Q(given_up_at=None) | ~Q(given_up_reason=""),
                name="colourspot_given_up_with_a_reason",
            ),
        ]

    def __str__(self) -> str:
        return f"C{self.number}"


class ColourMeasurement(Kept):
    """One visit to a spot with one instrument: its settings; the repeats stand in readings."""

    spot = models.ForeignKey(ColourSpot, on_delete=models.PROTECT, related_name="measurements")
    instrument = models.ForeignKey(
        "records.Instrument", on_delete=models.PROTECT, related_name="colour_measurements"
    )
    geometry = models.CharField(max_length=8, choices=choices(Geometry))
    aperture_mm = models.DecimalField("aperture [mm]", max_digits=4, decimal_places=1)
    illuminant = models.CharField(max_length=4, choices=choices(Illuminant))
    observer = models.CharField(max_length=4, choices=choices(Observer))
    stated_repeatability = models.DecimalField(
        "repeatability that the instrument’s papers state",
        max_digits=5,
        decimal_places=3,
        null=True,
        blank=True,
    )
    measured_at = models.DateTimeField()
    measured_by = models.ForeignKey(
        "records.Person", on_delete=models.PROTECT, related_name="colour_measurements"
    )
    entered_at = models.DateTimeField()
    source = models.CharField("typed, or from which file", max_length=200)
    note = models.CharField(max_length=240, blank=True, default="")
    struck_at = models.DateTimeField(null=True, blank=True)
    struck_reason = models.CharField(max_length=240, blank=True, default="")

    objects = KeptQuerySet["ColourMeasurement"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["spot", "instrument", "measured_at"],
                condition=Q(struck_at=None),
                name="colourmeasurement_once",
            ),
            models.CheckConstraint(
                condition=Q(measured_at__lte=F("entered_at")), name="colourmeasurement_not_ahead"
            ),
            models.CheckConstraint(
                condition=Q(aperture_mm__gt=0), name="colourmeasurement_aperture_positive"
            ),
            models.CheckConstraint(
                condition=Q(stated_repeatability=None) | Q(stated_repeatability__gte=0),
                name="colourmeasurement_repeatability_positive",
            ),
            models.CheckConstraint(
                condition=Q(struck_at=None) | ~Q(struck_reason=""),
                name="colourmeasurement_struck_with_a_reason",
            ),
            one_of("geometry", Geometry, "colourmeasurement_geometry_known"),
            one_of("illuminant", Illuminant, "colourmeasurement_illuminant_known"),
            one_of("observer", Observer, "colourmeasurement_observer_known"),
        ]

    def __str__(self) -> str:
        return f"colour measurement (#{self.pk})"


class ColourReading(AppendOnly):
    """One repeat: the instrument was lifted and laid on again between two of them."""

    measurement = models.ForeignKey(
        ColourMeasurement, on_delete=models.PROTECT, related_name="readings"
    )
    nth = models.PositiveSmallIntegerField()
    l_star = models.DecimalField("L*", max_digits=6, decimal_places=3)
    a_star = models.DecimalField("a*", max_digits=6, decimal_places=3)
    b_star = models.DecimalField("b*", max_digits=6, decimal_places=3)
    entered_by = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")
    entered_role = models.CharField(max_length=24, choices=choices(Role))

    objects = AppendOnlyQuerySet["ColourReading"].as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["measurement", "nth"], name="colourreading_nth_once"),
            models.CheckConstraint(
                condition=Q(l_star__range=(0, 100)), name="colourreading_lightness"
            ),
            models.CheckConstraint(
                condition=Q(a_star__range=(-150, 150), b_star__range=(-150, 150)),
                name="colourreading_chroma",
            ),
            one_of("entered_role", Role, "colourreading_role_known"),
        ]

    def __str__(self) -> str:
        return f"reading {self.nth} (#{self.pk})"
