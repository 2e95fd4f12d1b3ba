"""Light that an instrument of its own has logged at a place: what one file held, as it was read.

A log is written once. What turns out wrong is taken back with a reason: both rows stay.
"""

from django.db import models
from django.db.models import F, Q

from lifecycle.process.words import Word
from lifecycle.records.base import AppendOnly, AppendOnlyQuerySet, choices, one_of


class LoggedUnit(Word):
    """In which unit a file of a logger writes illuminance."""

    LUX = "lux"
    KILOLUX = "kilolux"
    FOOT_CANDLE = "foot_candle"

    @property
    def label(self) -> str:
        return {"lux": "lux", "kilolux": "kilolux", "foot_candle": "foot-candles"}[self.value]


class LightLog(AppendOnly):
    """The samples of one file of a light logger that stood at a place, in order and in lux."""

    place = models.ForeignKey("records.Place", on_delete=models.PROTECT, related_name="light_logs")
    point = models.ForeignKey(
        "records.ReadingPoint", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    instrument = models.ForeignKey(
        "records.Instrument", on_delete=models.PROTECT, related_name="light_logs"
    )
    file_name = models.CharField("name of the file", max_length=120)
    file_sha256 = models.CharField("SHA-256 of the file", max_length=64)
    unit = models.CharField(
        "unit in the file", max_length=12, choices=choices(LoggedUnit), default=LoggedUnit.LUX.value
    )
    zone = models.CharField("clock of the logger", max_length=64)
    interval_minutes = models.PositiveIntegerField("time between samples [min]")
    from_at = models.DateTimeField("first sample")
    until_at = models.DateTimeField("last sample")
    samples = models.JSONField(
        help_text="Minutes after the first sample, tenths of a lux, tenths of a µW/lm where read."
    )
    count = models.PositiveIntegerField("samples taken")
    left_out = models.PositiveIntegerField("lines left out", default=0)
    confirmed_odd = models.CharField(
        "odd, asked about, confirmed", max_length=300, blank=True, default=""
    )
    meter_lapsed = models.BooleanField("logged after the calibration was due", default=False)
    work_uid = models.UUIDField("the work that brought it in", unique=True)
    entered_at = models.DateTimeField()
    entered_by = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")

    objects = AppendOnlyQuerySet["LightLog"].as_manager()

    class Meta:
        indexes = [models.Index(fields=["place", "from_at"], name="light_log_place_from")]
        constraints = [
            one_of("unit", LoggedUnit, "light_log_unit_known"),
            models.CheckConstraint(
                condition=Q(until_at__gt=F("from_at")), name="light_log_span_ordered"
            ),
            models.CheckConstraint(
                condition=Q(entered_at__gte=F("until_at")), name="light_log_not_in_the_future"
            ),
            models.CheckConstraint(
                condition=Q(interval_minutes__gte=1), name="light_log_interval_positive"
            ),
            models.CheckConstraint(condition=Q(count__gte=2), name="light_log_has_samples"),
        ]

    def __str__(self) -> str:
        return f"{self.file_name} (#{self.pk})"


class LightLogTakenBack(AppendOnly):
    """A log that counts no more, with the reason; its samples stay readable."""

    log = models.OneToOneField(LightLog, on_delete=models.PROTECT, related_name="taken_back")
    why = models.CharField(max_length=200)
    at = models.DateTimeField()
    by = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")

    objects = AppendOnlyQuerySet["LightLogTakenBack"].as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(condition=~Q(why=""), name="light_log_taken_back_because")
        ]

    def __str__(self) -> str:
        return f"taken back (#{self.pk})"
