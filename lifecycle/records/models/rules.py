"""House rules: the museum's own limits, in versions; every decision stores the version it used."""

from django.db import models
from django.db.models import Q

from lifecycle.planning.counting import counted
from lifecycle.process.switches import Switch
from lifecycle.process.words import Word
from lifecycle.records.base import Kept, KeptQuerySet, choices, kept_history, one_of

DAYS_SOURCE = "Common practice; each house sets its own."


class SecondFactor(Word):
    """Who must prove themselves with a second step when they sign in."""

    NOT_ASKED = "not_asked"
    NAMED_ROLES = "named_roles"
    EVERYONE = "everyone"


class SensitivityClass(Kept):
    """How fast light harms it; the limits stand in the ``ClassRule`` of a rules version."""

    code = models.SlugField(max_length=24, unique=True)
    label = models.CharField(max_length=80)
    definition = models.TextField(blank=True)

    objects = KeptQuerySet["SensitivityClass"].as_manager()
    history = kept_history()

    def __str__(self) -> str:
        return self.label


class HouseRules(Kept):
    """One version of the rules. A version in force is never edited: copy it into the next."""

    version = models.PositiveIntegerField(unique=True)
    source = models.TextField(help_text="Where the figures come from, in words.")
    approved_by = models.ForeignKey(
        "records.Person", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    approved_on = models.DateField(null=True, blank=True)
    valid_from = models.DateField()
    taking_over_until = models.DateField(
        null=True, blank=True, help_text="Until this day running displays may be taken over."
    )
    fresh_look_months = models.PositiveSmallIntegerField(default=6)
    consent_lapses_months = models.PositiveSmallIntegerField(default=12)
    second_reader_needed = models.BooleanField(default=False)
    charge_lab_light_above_percent = models.PositiveSmallIntegerField(default=1)
    travel_days = models.PositiveSmallIntegerField(
        default=2, help_text="Days kept free before and after a booking for travel."
    )
    facsimile_print_days = models.PositiveSmallIntegerField(
        default=15, help_text="Working days a facsimile takes to be printed."
    )
    facsimile_proof_days = models.PositiveSmallIntegerField(
        default=10, help_text="Working days for its proof, and for a second one."
    )
    between_readings_mean = models.BooleanField(
        default=True,
        help_text="Without an event between two readings the likely value is their mean.",
    )
    second_factor = models.CharField(
        max_length=12, choices=choices(SecondFactor), default=SecondFactor.NOT_ASKED.value
    )
    second_factor_roles = models.JSONField(
        default=list, blank=True, help_text="The roles, where only named ones are asked."
    )
    second_factor_grace_days = models.PositiveSmallIntegerField(
        default=7, help_text="Days in which pages still open before it is set up."
    )
    single_sign_on_only = models.BooleanField(
        default=False, help_text="Passwords open no door, but for the steward."
    )
    ink_not_shown_from = models.PositiveSmallIntegerField(
        "iron-gall ink is not displayed from level",
        null=True,
        blank=True,
        default=4,
        help_text="From 1 good to 4 bad; empty: the house has no such rule.",
    )
    ink_sign_off_from = models.PositiveSmallIntegerField(
        "moving iron-gall ink is signed off from level",
        null=True,
        blank=True,
        default=3,
        help_text="From 1 good to 4 bad; empty: the house has no such rule.",
    )
    days_source = models.TextField(
        "where the days come from by which things are needed", default=DAYS_SOURCE, blank=True
    )
    days_off = models.JSONField(
        "days on which the house does not work",
        default=list,
        blank=True,
        help_text="Each a day and what it is called; Saturdays and Sundays are not named.",
    )
    notes = models.TextField(blank=True)

    objects = KeptQuerySet["HouseRules"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(version__gte=1), name="rules_version_positive"),
            models.CheckConstraint(
                condition=Q(charge_lab_light_above_percent__lte=100), name="rules_percent"
            ),
            one_of("second_factor", SecondFactor, "rules_second_factor_known"),
            models.CheckConstraint(
                condition=Q(ink_not_shown_from=None) | Q(ink_not_shown_from__range=(2, 4)),
                name="rules_ink_not_shown_from_a_level",
            ),
            models.CheckConstraint(
                condition=Q(ink_sign_off_from=None) | Q(ink_sign_off_from__range=(2, 4)),
                name="rules_ink_sign_off_from_a_level",
            ),
        ]

    def __str__(self) -> str:
        return f"house rules v{self.version}"


class ClassRule(Kept):
    """The limits of one sensitivity class in one version of the house rules."""

    house_rules = models.ForeignKey(HouseRules, on_delete=models.PROTECT, related_name="classes")
    sensitivity_class = models.ForeignKey(
        SensitivityClass, on_delete=models.PROTECT, related_name="rules"
    )
    max_lux = models.PositiveIntegerField("highest illuminance [lx]")
    allowance_lx_h = models.PositiveIntegerField("allowance in the window [lx·h]")
    window_years = models.PositiveSmallIntegerField("rolling window [years]")
    rest_months = models.PositiveSmallIntegerField("rest between showings [months]")
    max_showing_weeks = models.PositiveSmallIntegerField(
        "longest showing [weeks]", null=True, blank=True
    )
    max_uv = models.PositiveIntegerField("highest UV [µW/lm]", null=True, blank=True)
    reading_every_days = models.PositiveSmallIntegerField(default=28)
    look_every_days = models.PositiveSmallIntegerField(default=14)
    turn_needed_above_percent = models.PositiveSmallIntegerField(default=50)
    never_show = models.BooleanField("facsimile only", default=False)
    source = models.TextField(blank=True)

    objects = KeptQuerySet["ClassRule"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["house_rules", "sensitivity_class"], name="class_rule_once_a_version"
            ),
            models.CheckConstraint(
                condition=Q(max_lux__gte=1)
                & Q(window_years__gte=1)
                & Q(reading_every_days__gte=1)
                & Q(look_every_days__gte=1)
                & Q(turn_needed_above_percent__lte=100),
                name="class_rule_figures_make_sense",
            ),
        ]

    def __str__(self) -> str:
        return f"rule (#{self.pk})"


class GateSwitch(Kept):
    """Whether one gate is taken: in a version of the house rules, or in one exhibition.

    The list knows only gates that may be left out, so that the database itself refuses a switch
    for the chain every showing keeps.
    """

    house_rules = models.ForeignKey(
        HouseRules, on_delete=models.PROTECT, null=True, blank=True, related_name="switches"
    )
    exhibition = models.ForeignKey(
        "records.Exhibition",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="switches",
    )
    gate = models.CharField(max_length=24, choices=choices(Switch))
    taken = models.BooleanField(
        null=True, help_text="Empty in an exhibition: as the house rules say."
    )

    objects = KeptQuerySet["GateSwitch"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            one_of("gate", Switch, "gate_switch_may_be_left_out"),
            models.CheckConstraint(
                condition=Q(house_rules__isnull=True, exhibition__isnull=False)
                | Q(house_rules__isnull=False, exhibition__isnull=True, taken__isnull=False),
                name="gate_switch_of_rules_or_exhibition",
            ),
            models.UniqueConstraint(
                fields=["house_rules", "gate"], name="gate_switch_once_a_version"
            ),
            models.UniqueConstraint(
                fields=["exhibition", "gate"], name="gate_switch_once_an_exhibition"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_gate_display()} {'on' if self.taken else 'off'}"


class GateDays(Kept):
    """How many days before install, or before closing, one gate of the readiness is needed."""

    house_rules = models.ForeignKey(HouseRules, on_delete=models.PROTECT, related_name="gate_days")
    gate = models.CharField(max_length=4)
    days = models.PositiveSmallIntegerField("days before")
    working = models.BooleanField("counted in working days", default=False)

    objects = KeptQuerySet["GateDays"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["house_rules", "gate"], name="gate_days_once_a_version")
        ]

    def __str__(self) -> str:
        return f"{self.gate}: {counted(self.days, 'day')} before"
