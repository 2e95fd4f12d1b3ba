"""Forms of a loan, a clause, the lender's leave, the exit and the receipt."""

from typing import Any

from django import forms

from lifecycle.actions.loans import Clause, Terms
from lifecycle.pages.fields import ObjectNumbersField, PlaceField, day_field, reason_field
from lifecycle.pages.moments import moment_field
from lifecycle.process.words import PlaceKind
from lifecycle.queries.places import place_paths
from lifecycle.records.base import choices
from lifecycle.records.models import Document, Loan, Organisation
from lifecycle.records.models.loans import (
    ClauseEvidence,
    LoanDirection,
    LoanState,
    Operator,
    Parameter,
    RequirementSource,
    RequirementState,
)


class LoanForm(forms.Form):
    """What the agreement says."""

    agreement_no = forms.CharField(label="Agreement number", max_length=40)
    lender = forms.ModelChoiceField(
        Organisation.objects.none(), to_field_name="uid", label="Lender or borrower"
    )
    direction = forms.TypedChoiceField(
        label="In or out", choices=choices(LoanDirection), coerce=LoanDirection
    )
    state = forms.TypedChoiceField(label="State", choices=choices(LoanState), coerce=LoanState)
    objects = ObjectNumbersField(label="Objects", help_text="One object number a line.")
    starts_on, ends_on = day_field("From"), day_field("To")
    contact = forms.CharField(
        label="Contact", required=False, widget=forms.Textarea(attrs={"rows": 2})
    )
    courier_at_install = forms.BooleanField(label="Courier at install", required=False)
    courier_at_turn = forms.BooleanField(label="Courier at each turn", required=False)
    courier_at_deinstall = forms.BooleanField(label="Courier at de-install", required=False)
    insurance_reference = forms.CharField(
        label="Insurance or indemnity reference",
        max_length=120,
        required=False,
        help_text="The reference only: sums are not kept here.",
    )
    notice_within_hours = forms.IntegerField(
        label="Notice of damage within [h]", required=False, min_value=1, max_value=720
    )
    report_every_days = forms.IntegerField(
        label="A report every [days]", required=False, min_value=1, max_value=400
    )
    agreement_signed_on = day_field("Agreement signed on", required=False)
    agreement_file = forms.FileField(label="The signed agreement", required=False)
    clauses_complete_on = day_field("All clauses entered on", required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        fields["lender"].queryset = Organisation.objects.order_by("name", "pk")

    def terms(self, agreement: Document | None) -> Terms:
        names = set(Terms.__dataclass_fields__) - {"agreement"}
        return Terms(agreement=agreement, **{name: self.cleaned_data[name] for name in names})


class LoanChangeForm(LoanForm):
    why = reason_field("Why it is changed")


def initial_of(loan: Loan) -> dict[str, Any]:
    row = {
        name: getattr(loan, name)
        for name in Terms.__dataclass_fields__
        if name not in ("objects", "agreement")
    }
    numbers = loan.lines.order_by("museum_object__object_number").values_list(
        "museum_object__object_number", flat=True
    )
    return row | {"lender": loan.lender.uid, "objects": "\n".join(numbers)}


class ExtendForm(forms.Form):
    new_end = day_field("New end")
    agreed_on = day_field("Agreed on")
    reason = forms.CharField(label="Why", max_length=500)


class ClauseForm(forms.Form):
    """One clause as data."""

    clause_ref = forms.CharField(label="Clause", max_length=40, required=False)
    text = forms.CharField(label="As agreed", widget=forms.Textarea(attrs={"rows": 3}))
    source = forms.TypedChoiceField(
        label="Whose condition", choices=choices(RequirementSource), coerce=RequirementSource
    )
    parameter = forms.TypedChoiceField(
        label="About",
        choices=[
            (one.value, f"{one.label} [{one.unit}]" if one.unit else one.label) for one in Parameter
        ],
        coerce=Parameter,
    )
    operator = forms.TypedChoiceField(label="Bound", choices=choices(Operator), coerce=Operator)
    low = forms.DecimalField(label="From", required=False, max_digits=12, decimal_places=3)
    high = forms.DecimalField(label="To", required=False, max_digits=12, decimal_places=3)
    hard = forms.BooleanField(label="Must be kept", required=False, initial=True)
    evidence = forms.TypedChoiceField(
        label="Proved by", choices=choices(ClauseEvidence), coerce=ClauseEvidence
    )
    check_every_days = forms.IntegerField(
        label="Checked every [days]", required=False, min_value=1, max_value=400
    )
    case = PlaceField(label="For one case", required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        fields["case"].fill(place_paths(kinds=(PlaceKind.CASE,)))

    def clause(self, loan: Loan) -> Clause:
        return Clause(loan=loan, **self.cleaned_data)


class ClauseStateForm(forms.Form):
    state = forms.TypedChoiceField(
        label="State",
        choices=[
            pair
            for pair in choices(RequirementState)
            if pair[0] != RequirementState.WAIVED_IN_WRITING.value
        ],
        coerce=RequirementState,
    )
    why = forms.CharField(label="What it rests on", max_length=500)


class ClauseWaiverForm(forms.Form):
    note = forms.CharField(
        label="The lender's words and date",
        required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    paper = forms.FileField(label="The lender's writing", required=False)


class AskLeaveForm(forms.Form):
    asked_at = moment_field("Asked at")
    note = forms.CharField(label="Note", required=False, max_length=500)


class LeaveForm(forms.Form):
    given = forms.TypedChoiceField(
        label="Answer",
        choices=[("yes", "leave given"), ("no", "leave refused")],
        coerce=lambda said: said == "yes",
    )
    answered_at = moment_field("Answered at")
    answered_by = forms.CharField(label="Answered by, in full", max_length=200)
    paper = forms.FileField(label="The letter", required=False)
    note = forms.CharField(label="Note", required=False, max_length=500)


class ReceiptForm(forms.Form):
    signed_by = forms.CharField(label="Signed by, in full", max_length=200)
    signed_at = moment_field("Signed at")
    receipt_file = forms.FileField(label="The signed receipt", required=False)
