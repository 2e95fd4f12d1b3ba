"""The display assessment: write, sign, accept its conditions."""

from typing import Any
from uuid import UUID

from django import forms
from django.http import HttpResponse
from django.shortcuts import get_object_or_404

from lifecycle.actions.display.assessing import (
    Conditions,
    accept_conditions,
    sign_assessment,
    write_assessment,
)
from lifecycle.actions.signing import with_account
from lifecycle.pages.display.hands import password_field
from lifecycle.pages.display.seeing import called, cautions_of, seen_showing, showing_address
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.fields import many_boxes
from lifecycle.pages.form_page import FormPage, answer_form
from lifecycle.process.cautions import CautionFor
from lifecycle.process.rights import Deed
from lifecycle.process.words import FitForDisplay, Orientation
from lifecycle.queries.condition.ink import ink_of
from lifecycle.queries.display.assessments import assessments_of, start_of
from lifecycle.queries.rights import about_showing, museum_day
from lifecycle.queries.signed_text.registry import signatures_of
from lifecycle.records.base import choices
from lifecycle.records.models import Assessment, SensitivityClass, Vocabulary, Word
from lifecycle.records.models.display.assessment import (
    AssessmentKind,
    RotationKind,
    TravelAllowed,
)


def _hours(label: str) -> forms.DecimalField:
    return forms.DecimalField(
        label=label, min_value=0, max_digits=6, decimal_places=1, required=False
    )


def _band(label: str) -> forms.DecimalField:
    return forms.DecimalField(label=label, max_digits=4, decimal_places=1, required=False)


class AssessmentForm(forms.Form):
    """Conditions of display; house rules and accounts give the first figures."""

    kind = forms.TypedChoiceField(
        label="How it is assessed", choices=choices(AssessmentKind), coerce=AssessmentKind
    )
    fit = forms.TypedChoiceField(
        label="Fit for display", choices=choices(FitForDisplay), coerce=FitForDisplay
    )
    grounds = forms.ModelMultipleChoiceField(
        Word.objects.none(),
        to_field_name="code",
        label="Grounds",
        required=False,
        widget=many_boxes(),
    )
    ground_note = forms.CharField(
        label="Note on the grounds", required=False, widget=forms.Textarea(attrs={"rows": 2})
    )
    sensitivity_class = forms.ModelChoiceField(
        SensitivityClass.objects.none(), label="Sensitivity class, confirmed"
    )
    lux_ceiling = forms.IntegerField(label="Lux ceiling [lx]", min_value=1)
    uv_ceiling = forms.IntegerField(label="UV ceiling [µW/lm]", min_value=0)
    max_dose_lx_h = forms.IntegerField(
        label="Most light in this showing, per face [lx·h]", min_value=0
    )
    max_weeks = forms.IntegerField(label="Most weeks per face", min_value=1, max_value=520)
    rotation_plan = forms.TypedChoiceField(
        label="Rotation", choices=choices(RotationKind), coerce=RotationKind
    )
    look_every_days = forms.IntegerField(label="A look every [days]", min_value=1, max_value=365)
    reading_every_days = forms.IntegerField(
        label="A light reading every [days]", min_value=1, max_value=365
    )
    treatment_hours = _hours("Treatment, estimated [h]")
    mount_hours = _hours("Mount, estimated [h]")
    t_min_c, t_max_c = _band("Temperature from [°C]"), _band("Temperature to [°C]")
    rh_min, rh_max = _band("Relative humidity from [%]"), _band("Relative humidity to [%]")
    rh_change_24h = _band("Change of RH in 24 hours, at most [%]")
    rh_change_1h = _band("Change of RH in 1 hour, at most [%]")
    support_rule = forms.CharField(
        label="Support", required=False, widget=forms.Textarea(attrs={"rows": 2})
    )
    max_opening_angle = forms.IntegerField(
        label="Widest opening [°]", min_value=0, max_value=360, required=False
    )
    orientation = forms.TypedChoiceField(
        label="Orientation", choices=choices(Orientation), coerce=Orientation
    )
    must_be_cased = forms.BooleanField(label="Must be in a case", required=False)
    glazing = forms.CharField(label="Glazing and distance", max_length=200, required=False)
    travel_allowed = forms.TypedChoiceField(
        label="Travel", choices=choices(TravelAllowed), coerce=TravelAllowed
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        fields["grounds"].queryset = Word.objects.filter(
            vocabulary=Vocabulary.GROUND, retired_on=None
        ).order_by("label", "pk")
        fields["sensitivity_class"].queryset = SensitivityClass.objects.order_by("label", "pk")


def _draft_of(row: Assessment) -> dict[str, Any]:
    said = {name: getattr(row, name, None) for name in Conditions.__dataclass_fields__}
    return said | {
        "fit": row.fit_for_display,
        "grounds": [word.code for word in row.grounds.all()],
        "sensitivity_class": row.sensitivity_class_id,
    }


@signed_in
def assess(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Write the display assessment of a showing."""
    showing = seen_showing(request, uid)
    role = request.role_for(Deed.EXAMINE, about_showing(showing))
    rows = assessments_of(showing)
    start = start_of(showing, request.at)
    initial = _draft_of(rows[0]) if rows else start.values
    form = AssessmentForm(request.POST or None, initial=initial)

    def act(data: dict[str, Any]) -> str:
        row = write_assessment(
            by=request.person,
            role=role,
            at=request.at,
            showing=showing,
            said=Conditions(**data),
        )
        return f"The assessment (version {row.version}) is written; sign it when it is right."

    page = FormPage(
        title=f"Assess {called(showing)} for display",
        submit="Keep the assessment",
        back=showing_address(showing, "display"),
        lead="The result is the yardstick for every later change.",
        draft=f"assessment-{showing.uid}",
        cautions=cautions_of(showing.museum_object, CautionFor.EXAMINE),
        template="display/assess.html",
        more={
            "showing": showing,
            "rows": rows,
            "because": start.because,
            "ink": ink_of(showing.museum_object, museum_day(request.at)),
        },
    )
    return answer_form(request, form, act, page)


class SignForm(forms.Form):
    """The password again."""

    password = password_field("Your password, to sign")


@signed_in
def assess_sign(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Sign the assessment, or accept its conditions as the curator."""
    row = get_object_or_404(
        Assessment.objects.select_related("showing", "sensitivity_class", "house_rules"), uid=uid
    )
    showing = seen_showing(request, row.showing.uid)
    about = about_showing(showing)
    accepting = row.signed
    role = request.role_for(Deed.CHOOSE if accepting else Deed.EXAMINE, about)
    form = SignForm(request.POST or None)

    def act(data: dict[str, Any]) -> str:
        hand = with_account(person=request.person, role=role, password=data["password"])
        deed = accept_conditions if accepting else sign_assessment
        deed(by=request.person, role=role, at=request.at, assessment=row, hand=hand)
        if accepting:
            return "The conditions are accepted."
        return f"The assessment (version {row.version}) is signed."

    words = "Accept the conditions for" if accepting else "Sign the assessment of"
    page = FormPage(
        title=f"{words} {called(showing)}",
        submit="Accept with my name" if accepting else "Sign",
        back=showing_address(showing, "display"),
        template="display/assess_sign.html",
        more={"row": row, "showing": showing, "signatures": signatures_of(row)},
    )
    return answer_form(request, form, act, page)
