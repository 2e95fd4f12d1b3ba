"""Readings of light and air, light events, entries of the light account, and looks at objects.

Readings, events, entries and looks are written once; a correction is a new row that points back.
The account itself is nowhere stored: it is computed from these rows.
"""

from decimal import Decimal

from django.db import models
from django.db.models import F, Q

from lifecycle.planning.ledger import EntryKind
from lifecycle.planning.lit_hours import LampState
from lifecycle.process.words import Certainty, LookVerdict, Word
from lifecycle.records.base import (
    AppendOnly,
    AppendOnlyQuerySet,
    Coded,
    Kept,
    KeptQuerySet,
    choices,
    kept_history,
    one_of,
)

TENTH = Decimal("0.1")


class InstrumentKind(Word):
    LUX = "lux"
    UV = "uv"
    LUX_AND_UV = "lux_and_uv"
    THERMO_HYGROMETER = "thermo_hygrometer"
    LOGGER = "logger"
    CAMERA = "camera"
    COLOUR = "colour"
    OTHER = "other"

    @property
    def label(self) -> str:
        return _INSTRUMENT_LABELS.get(self.value, self.value)


_INSTRUMENT_LABELS = {
    "lux": "lux meter",
    "uv": "UV meter",
    "lux_and_uv": "lux and UV meter",
    "thermo_hygrometer": "thermo-hygrometer",
    "colour": "colour instrument",
}


class ChangeOfLight(Word):
    """What happened to the light at a place."""

    LAMP_REPLACED = "lamp_replaced"
    RE_AIMED = "re_aimed"
    DIMMED = "dimmed"
    FILTER_CHANGED = "filter_changed"
    BLIND_CHANGED = "blind_changed"
    TIMETABLE_CHANGED = "timetable_changed"
    FAILED = "failed"

    @property
    def label(self) -> str:
        return "re-aimed" if self is ChangeOfLight.RE_AIMED else super().label


class NotReached(Word):
    """Why a place was not looked at on a walk; missing is not the same as nothing seen."""

    NOT_REACHED = "not_reached"
    GALLERY_CLOSED = "gallery_closed"


LAMP_STATE_LABELS = {
    LampState.SHOW: "show",
    LampState.CLEANING: "cleaning",
    LampState.WORK: "work",
    LampState.DAYLIGHT_PART: "daylight part (lamps off)",
}


class Instrument(Coded, Kept):
    """A meter or logger with its calibration. A reading after the due date is kept and marked."""

    kind = models.CharField(max_length=20, choices=choices(InstrumentKind))
    name = models.CharField(max_length=80)
    serial = models.CharField("serial number", max_length=60, unique=True)
    calibrated_on = models.DateField(null=True, blank=True)
    calibration_due = models.DateField(null=True, blank=True)
    certificate = models.CharField(max_length=120, blank=True)
    correction_factor = models.DecimalField(max_digits=6, decimal_places=3, default=Decimal(1))
    limits = models.CharField("known limits", max_length=200, blank=True)
    retired_on = models.DateField(null=True, blank=True)

    objects = KeptQuerySet["Instrument"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            one_of("kind", InstrumentKind, "instrument_kind_known"),
            models.CheckConstraint(
                condition=Q(correction_factor__gt=0), name="instrument_correction_positive"
            ),
            models.CheckConstraint(
                condition=Q(calibrated_on=None)
                | Q(calibration_due=None)
                | Q(calibration_due__gte=F("calibrated_on")),
                name="instrument_calibration_ordered",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name or InstrumentKind(self.kind).label} ({self.serial})"


class LightReading(AppendOnly):
    """A spot reading of illuminance, and of UV where the meter gives it, at a fixed point."""

    place = models.ForeignKey(
        "records.Place", on_delete=models.PROTECT, related_name="light_readings"
    )
    point = models.ForeignKey(
        "records.ReadingPoint", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    face = models.ForeignKey(
        "records.Face", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    showing = models.ForeignKey(
        "records.Showing",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="light_readings",
    )
    lux = models.DecimalField("illuminance [lx]", max_digits=6, decimal_places=1)
    shown_lux = models.DecimalField(
        "as the meter showed it [lx]",
        max_digits=6,
        decimal_places=1,
        help_text="Before the meter's correction factor.",
    )
    uv = models.DecimalField("UV [µW/lm]", max_digits=7, decimal_places=1, null=True, blank=True)
    instrument = models.ForeignKey(
        Instrument, on_delete=models.PROTECT, null=True, blank=True, related_name="light_readings"
    )
    lamp_state = models.CharField(
        max_length=16,
        choices=[(state.value, label) for state, label in LAMP_STATE_LABELS.items()],
        default=LampState.SHOW.value,
    )
    read_at = models.DateTimeField()
    read_by = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")
    entered_at = models.DateTimeField()
    entered_by = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")
    suspicious = models.BooleanField(default=False, help_text="Odd, asked about once, confirmed.")
    meter_lapsed = models.BooleanField("read after the calibration was due", default=False)
    by_volunteer = models.BooleanField(default=False)
    counts = models.BooleanField(
        default=True, help_text="A volunteer's reading counts if meter and point are known."
    )
    corrects = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="corrected_by"
    )
    why_corrected = models.CharField(max_length=200, blank=True)
    note = models.CharField(max_length=200, blank=True)

    objects = AppendOnlyQuerySet["LightReading"].as_manager()

    class Meta:
        indexes = [models.Index(fields=["place", "read_at"], name="reading_place_at")]
        constraints = [
            models.CheckConstraint(condition=Q(lux__gte=0), name="reading_lux_not_negative"),
            models.CheckConstraint(
                condition=Q(uv=None) | Q(uv__gte=0), name="reading_uv_not_negative"
            ),
            models.CheckConstraint(
                condition=Q(entered_at__gte=F("read_at")), name="reading_read_before_entered"
            ),
            one_of("lamp_state", LampState, "reading_lamp_state_known"),
            models.CheckConstraint(
                condition=Q(corrects=None, why_corrected="")
                | (Q(corrects__isnull=False) & ~Q(why_corrected="")),
                name="reading_corrected_with_a_reason",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.lux} lx (#{self.pk})"


class LightEvent(AppendOnly):
    """Something changed the light at a place; it voids the last reading there."""

    place = models.ForeignKey(
        "records.Place", on_delete=models.PROTECT, related_name="light_events"
    )
    what = models.CharField(max_length=20, choices=choices(ChangeOfLight))
    from_at = models.DateTimeField("not before")
    until_at = models.DateTimeField("not after")
    certainty = models.CharField(max_length=10, choices=choices(Certainty))
    reported_by = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")
    reported_at = models.DateTimeField()
    ticket = models.CharField("ticket of the technicians", max_length=60, blank=True)
    note = models.CharField(max_length=200, blank=True)

    objects = AppendOnlyQuerySet["LightEvent"].as_manager()

    class Meta:
        indexes = [models.Index(fields=["place", "until_at"], name="light_event_place_until")]
        constraints = [
            models.CheckConstraint(
                condition=Q(until_at__gte=F("from_at")), name="light_event_span_ordered"
            ),
            models.CheckConstraint(
                condition=Q(reported_at__gte=F("from_at")), name="light_event_not_in_the_future"
            ),
            one_of("what", ChangeOfLight, "light_event_kind_known"),
            one_of("certainty", Certainty, "light_event_certainty_known"),
        ]

    def __str__(self) -> str:
        return f"{self.what} (#{self.pk})"


class ClimateReading(AppendOnly):
    """Temperature and relative humidity read by hand at a place."""

    place = models.ForeignKey(
        "records.Place", on_delete=models.PROTECT, related_name="climate_readings"
    )
    t_c = models.DecimalField("temperature [°C]", max_digits=4, decimal_places=1)
    rh = models.DecimalField("relative humidity [%]", max_digits=4, decimal_places=1)
    instrument = models.ForeignKey(
        Instrument, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    read_at = models.DateTimeField()
    read_by = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")
    entered_at = models.DateTimeField()
    entered_by = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")
    meter_lapsed = models.BooleanField("read after the calibration was due", default=False)
    note = models.CharField(max_length=200, blank=True)

    objects = AppendOnlyQuerySet["ClimateReading"].as_manager()

    class Meta:
        indexes = [models.Index(fields=["place", "read_at"], name="climate_place_at")]
        constraints = [
            models.CheckConstraint(condition=Q(rh__gte=0, rh__lte=100), name="climate_rh_percent"),
            models.CheckConstraint(
                condition=Q(t_c__gte=-50, t_c__lte=80), name="climate_temperature_in_range"
            ),
            models.CheckConstraint(
                condition=Q(entered_at__gte=F("read_at")), name="climate_read_before_entered"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.t_c} °C, {self.rh} % RH (#{self.pk})"


class LightEntry(AppendOnly):
    """Light charged to a face besides displays under readings: lab light and past showings."""

    face = models.ForeignKey("records.Face", on_delete=models.PROTECT, related_name="light_entries")
    kind = models.CharField(max_length=12, choices=[(kind.value, kind.value) for kind in EntryKind])
    showing = models.ForeignKey(
        "records.Showing", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    from_at = models.DateTimeField()
    until_at = models.DateTimeField()
    low_lx_h = models.DecimalField("dose, low [lx·h]", max_digits=12, decimal_places=2)
    likely_lx_h = models.DecimalField("dose, likely [lx·h]", max_digits=12, decimal_places=2)
    high_lx_h = models.DecimalField("dose, high [lx·h]", max_digits=12, decimal_places=2)
    basis = models.CharField(max_length=200, help_text="What the figures rest on.")
    source = models.CharField(max_length=200, help_text="Where that stands, 'file note 1998'.")
    entered_at = models.DateTimeField()
    entered_by = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")
    corrects = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="corrected_by"
    )
    why_corrected = models.CharField(max_length=200, blank=True)

    objects = AppendOnlyQuerySet["LightEntry"].as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(low_lx_h__gte=0)
                & Q(likely_lx_h__gte=F("low_lx_h"))
                & Q(high_lx_h__gte=F("likely_lx_h")),
                name="light_entry_low_likely_high",
            ),
            models.CheckConstraint(
                condition=Q(until_at__gte=F("from_at")), name="light_entry_span_ordered"
            ),
            models.CheckConstraint(condition=~Q(basis=""), name="light_entry_has_a_basis"),
            models.CheckConstraint(condition=~Q(source=""), name="light_entry_has_a_source"),
            one_of("kind", EntryKind, "light_entry_kind_known"),
            models.CheckConstraint(
                condition=Q(corrects=None, why_corrected="")
                | (Q(corrects__isnull=False) & ~Q(why_corrected="")),
                name="light_entry_corrected_with_a_reason",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} (#{self.pk})"


class Look(AppendOnly):
    """A dated look at one object on display. Walkers flag, they do not grade."""

    museum_object = models.ForeignKey(
        "records.MuseumObject", on_delete=models.PROTECT, related_name="looks"
    )
    showing = models.ForeignKey(
        "records.Showing", on_delete=models.PROTECT, null=True, blank=True, related_name="looks"
    )
    face = models.ForeignKey(
        "records.Face", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    place = models.ForeignKey("records.Place", on_delete=models.PROTECT, related_name="looks")
    through_glass = models.BooleanField("seen through glass", default=True)
    verdict = models.CharField(max_length=12, choices=choices(LookVerdict), blank=True)
    not_looked = models.CharField(max_length=16, choices=choices(NotReached), blank=True)
    not_reached_because = models.CharField(max_length=120, blank=True)
    picture = models.ForeignKey(
        "records.Picture", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    note = models.CharField(max_length=120, blank=True)
    looked_at = models.DateTimeField()
    looked_by = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")
    entered_at = models.DateTimeField()
    entered_by = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")

    objects = AppendOnlyQuerySet["Look"].as_manager()

    class Meta:
        indexes = [models.Index(fields=["museum_object", "looked_at"], name="look_object_at")]
        constraints = [
            one_of("verdict", LookVerdict, "look_verdict_known", blank=True),
            one_of("not_looked", NotReached, "look_not_looked_known", blank=True),
            models.CheckConstraint(
                condition=(~Q(verdict="") & Q(not_looked="", not_reached_because=""))
                | (Q(verdict="") & ~Q(not_looked="") & ~Q(not_reached_because="")),
                name="look_verdict_or_why_not_reached",
            ),
            models.CheckConstraint(
                condition=Q(entered_at__gte=F("looked_at")), name="look_before_entered"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.verdict or self.not_looked} (#{self.pk})"


class LookAnswer(AppendOnly):
    """What came of a flag; the walker finds it beside the look."""

    look = models.ForeignKey(Look, on_delete=models.PROTECT, related_name="answers")
    text = models.CharField(max_length=240)
    answered_at = models.DateTimeField()
    answered_by = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")

    objects = AppendOnlyQuerySet["LookAnswer"].as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(condition=~Q(text=""), name="look_answer_says_something")
        ]

    def __str__(self) -> str:
        return f"answer (#{self.pk})"
