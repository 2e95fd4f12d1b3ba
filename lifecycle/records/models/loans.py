"""Loans and the clauses that come with them: each clause is a row that can be watched.

Sums insured are not stored here at all; the reference of the policy is.
"""

from django.db import models
from django.db.models import F, Q

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


class LoanDirection(Word):
    IN = "in"
    OUT = "out"


class LoanState(Word):
    ASKED = "asked"
    AGREED = "agreed"
    OBJECTS_HERE = "objects_here"
    RETURNING = "returning"
    CLOSED = "closed"


class RequirementSource(Word):
    LENDER_CLAUSE = "lender_clause"
    CONSERVATOR = "conservator"
    HOUSE_RULE = "house_rule"
    INDEMNITY = "indemnity"
    LAW = "law"


class Parameter(Word):
    """What a clause speaks about; the units are fixed here so that figures can be compared."""

    LUX = "lux"
    UV = "uv"
    DOSE = "dose"
    WEEKS = "weeks"
    TEMPERATURE = "temperature"
    HUMIDITY = "humidity"
    HUMIDITY_CHANGE_24H = "humidity_change_24h"
    HUMIDITY_CHANGE_1H = "humidity_change_1h"
    LIT_HOURS = "lit_hours"
    CASE_LOCKED = "case_locked"
    TWO_PERSON_HANDLING = "two_person_handling"
    NO_FLASH = "no_flash"
    COURIER_AT_INSTALL = "courier_at_install"
    COURIER_AT_DEINSTALL = "courier_at_deinstall"
    REPORT_FREQUENCY = "report_frequency"
    NOTIFY_WITHIN = "notify_within"
    NO_TREATMENT_WITHOUT_CONSENT = "no_treatment_without_consent"
    CREDIT_LINE = "credit_line"
    FACSIMILE_LABEL = "facsimile_label"
    OTHER = "other"

    @property
    def unit(self) -> str:
        return _UNITS.get(self.value, "")

    @property
    def label(self) -> str:
        return _PARAMETER_LABELS.get(self.value, self.value.replace("_", " "))


_UNITS = {
    "lux": "lx",
    "uv": "µW/lm",
    "dose": "lx·h",
    "weeks": "weeks",
    "temperature": "°C",
    "humidity": "% RH",
    "humidity_change_24h": "% RH",
    "humidity_change_1h": "% RH",
    "lit_hours": "h a week",
    "report_frequency": "days",
    "notify_within": "hours",
}
_PARAMETER_LABELS = {
    "lux": "illuminance (lux)",
    "uv": "UV",
    "dose": "light exposure (lux hours)",
    "weeks": "length of display",
    "humidity": "relative humidity",
    "humidity_change_24h": "change of RH in 24 hours",
    "humidity_change_1h": "change of RH in 1 hour",
    "courier_at_deinstall": "courier at de-install",
}


class Operator(Word):
    AT_MOST = "at_most"
    AT_LEAST = "at_least"
    BETWEEN = "between"
    YES = "yes"
    AS_TEXT = "as_text"


class ClauseEvidence(Word):
    READINGS = "readings"
    SIGNATURE = "signature"
    PHOTOGRAPH = "photograph"
    DOCUMENT = "document"
    STATEMENT = "statement"


class RequirementState(Word):
    NOT_STARTED = "not_started"
    KEPT = "kept"
    AT_RISK = "at_risk"
    BROKEN = "broken"
    WAIVED_IN_WRITING = "waived_in_writing"
    ENDED = "ended"


class LeaveAnswer(Word):
    """What the lender said when asked whether the object may be shown."""

    WAITING = "waiting"
    GIVEN = "given"
    REFUSED = "refused"


class Loan(Kept):
    """One agreement with a lender (in) or a borrower (out) about named objects."""

    agreement_no = models.CharField(max_length=40, unique=True)
    lender = models.ForeignKey(
        "records.Organisation", on_delete=models.PROTECT, related_name="loans"
    )
    direction = models.CharField(max_length=8, choices=choices(LoanDirection))
    starts_on = models.DateField()
    ends_on = models.DateField()
    contact = models.TextField(blank=True, default="")
    courier_at_install = models.BooleanField(default=False)
    courier_at_turn = models.BooleanField(default=False)
    courier_at_deinstall = models.BooleanField(default=False)
    insurance_reference = models.CharField(max_length=120, blank=True, default="")
    notice_within_hours = models.PositiveSmallIntegerField(null=True, blank=True)
    report_every_days = models.PositiveSmallIntegerField(null=True, blank=True)
    agreement = models.ForeignKey(
        "records.Document", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    agreement_signed_on = models.DateField(null=True, blank=True)
    clauses_complete_on = models.DateField(null=True, blank=True)
    state = models.CharField(
        max_length=16, choices=choices(LoanState), default=LoanState.ASKED.value
    )
    exit_authorised_by = models.ForeignKey(
        "records.Person", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    exit_authorised_at = models.DateTimeField(null=True, blank=True)
    receipt_signed_by = models.CharField(max_length=200, blank=True, default="")
    receipt_signed_at = models.DateTimeField(null=True, blank=True)
    receipt = models.ForeignKey(
        "records.Document", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )

    objects = KeptQuerySet["Loan"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            one_of("direction", LoanDirection, "loan_direction_known"),
            one_of("state", LoanState, "loan_state_known"),
            models.CheckConstraint(
                condition=Q(ends_on__gte=F("starts_on")), name="loan_dates_ordered"
            ),
            models.CheckConstraint(
                condition=Q(exit_authorised_by__isnull=True, exit_authorised_at__isnull=True)
                | Q(exit_authorised_by__isnull=False, exit_authorised_at__isnull=False),
                name="loan_exit_named_and_dated",
            ),
            models.CheckConstraint(
                condition=Q(receipt_signed_at__isnull=True, receipt_signed_by="")
                | (Q(receipt_signed_at__isnull=False) & ~Q(receipt_signed_by="")),
                name="loan_receipt_named_and_dated",
            ),
        ]

    def __str__(self) -> str:
        return self.agreement_no


class LoanObject(Kept):
    """One object that travels under the agreement."""

    loan = models.ForeignKey(Loan, on_delete=models.PROTECT, related_name="lines")
    museum_object = models.ForeignKey(
        "records.MuseumObject", on_delete=models.PROTECT, related_name="loan_lines"
    )

    objects = KeptQuerySet["LoanObject"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["loan", "museum_object"], name="loan_object_once")
        ]

    def __str__(self) -> str:
        return f"loan line #{self.pk}"


class LoanExtension(AppendOnly):
    """A later end that both sides agreed to; the earlier end stays readable here."""

    loan = models.ForeignKey(Loan, on_delete=models.PROTECT, related_name="extensions")
    old_end = models.DateField()
    new_end = models.DateField()
    agreed_on = models.DateField()
    reason = models.TextField()
    by = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
    document = models.ForeignKey(
        "records.Document", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )

    objects = AppendOnlyQuerySet["LoanExtension"].as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(new_end__gt=F("old_end")), name="loan_extension_later"
            )
        ]

    def __str__(self) -> str:
        return f"until {self.new_end:%Y-%m-%d}"


class Requirement(Kept):
    """One condition as data: whose it is, what it bounds, how it is proved.

    It applies to a loan as a whole, to one showing, or to a case and all that lies in it.
    """

    loan = models.ForeignKey(
        Loan, on_delete=models.PROTECT, null=True, blank=True, related_name="clauses"
    )
    showing = models.ForeignKey(
        "records.Showing",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="requirements",
    )
    case = models.ForeignKey(
        "records.Place", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    source = models.CharField(max_length=20, choices=choices(RequirementSource))
    clause_ref = models.CharField(max_length=40, blank=True, default="")
    text = models.TextField()
    parameter = models.CharField(max_length=32, choices=choices(Parameter))
    operator = models.CharField(max_length=12, choices=choices(Operator))
    low = models.DecimalField(max_digits=12, decimal_places=3, null=True, blank=True)
    high = models.DecimalField(max_digits=12, decimal_places=3, null=True, blank=True)
    unit = models.CharField(max_length=16, blank=True, default="")
    hard = models.BooleanField(default=True)
    evidence = models.CharField(max_length=12, choices=choices(ClauseEvidence))
    check_every_days = models.PositiveSmallIntegerField(null=True, blank=True)
    state = models.CharField(
        max_length=20,
        choices=choices(RequirementState),
        default=RequirementState.NOT_STARTED.value,
    )
    waiver = models.ForeignKey(
        "records.Document", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    waiver_note = models.TextField(blank=True, default="")

    objects = KeptQuerySet["Requirement"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            one_of("source", RequirementSource, "requirement_source_known"),
            one_of("parameter", Parameter, "requirement_parameter_known"),
            one_of("operator", Operator, "requirement_operator_known"),
            one_of("evidence", ClauseEvidence, "requirement_evidence_known"),
            one_of("state", RequirementState, "requirement_state_known"),
            models.CheckConstraint(
                condition=Q(loan__isnull=False) | Q(showing__isnull=False) | Q(case__isnull=False),
                name="requirement_applies_to_something",
            ),
            models.CheckConstraint(
                condition=(
                    Q(operator="at_most", high__isnull=False)
                    | Q(operator="at_least", low__isnull=False)
                    | Q(
                        operator="between",
                        low__isnull=False,
                        high__isnull=False,
                        high__gte=F("low"),
                    )
                    | Q(operator__in=["yes", "as_text"])
                ),
                name="requirement_bounds_fit_operator",
            ),
            models.CheckConstraint(
                condition=~Q(state="waived_in_writing")
                | Q(waiver__isnull=False)
                | ~Q(waiver_note=""),
                name="requirement_waiver_in_writing",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.clause_ref or 'clause'} (#{self.pk})"


class LenderLeave(Kept):
    """The lender was asked whether the object may be shown, and what came back."""

    showing = models.ForeignKey(
        "records.Showing", on_delete=models.PROTECT, related_name="lender_leaves"
    )
    asked_of = models.ForeignKey("records.Organisation", on_delete=models.PROTECT, related_name="+")
    asked_at = models.DateTimeField()
    asked_by = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="+")
    answer = models.CharField(
        max_length=8, choices=choices(LeaveAnswer), default=LeaveAnswer.WAITING.value
    )
    answered_at = models.DateTimeField(null=True, blank=True)
    answered_by = models.CharField(max_length=200, blank=True, default="")
    document = models.ForeignKey(
        "records.Document", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    note = models.TextField(blank=True, default="")

    objects = KeptQuerySet["LenderLeave"].as_manager()
    history = kept_history()

    class Meta:
        constraints = [
            one_of("answer", LeaveAnswer, "leave_answer_known"),
            models.CheckConstraint(
                condition=Q(answer="waiting", answered_at__isnull=True)
                | (
                    ~Q(answer="waiting")
                    & Q(answered_at__isnull=False, answered_at__gte=F("asked_at"))
                ),
                name="leave_answered_after_asked",
            ),
            models.UniqueConstraint(
                fields=["showing"], condition=Q(answer="waiting"), name="leave_one_waiting"
            ),
        ]

    def __str__(self) -> str:
        return f"leave for showing {self.showing_id}: {self.answer}"
