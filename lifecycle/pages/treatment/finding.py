"""A finding made during treatment: written from the step log, and who is asked again."""

from typing import Any
from uuid import UUID

from django import forms
from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_GET

from lifecycle.actions.objects.faces import FaceDetails
from lifecycle.actions.pictures import receive_picture, store_picture
from lifecycle.actions.treatment import FoundInTreatment, answer_asked_again, record_finding
from lifecycle.actions.treatment.finding import MAY_ANSWER
from lifecycle.pages.display.hands import photo_field
from lifecycle.pages.display.seeing import cautions_of, showing_address
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.form_page import Done, FormPage, answer_form, may_one_of, role_for_one_of
from lifecycle.pages.moments import moment_field
from lifecycle.pages.treatment.forms import prose
from lifecycle.pages.treatment.seeing import faces_of, posted, words_of
from lifecycle.process.cautions import CautionFor
from lifecycle.process.finding_effects import AskedKind
from lifecycle.process.rights import Deed, SubjectFacts
from lifecycle.process.words import FaceKind, LightKind
from lifecycle.queries.rights import about_object, about_showing
from lifecycle.queries.treatment.asked_again import asked_rows, finding_rows, with_standing
from lifecycle.records.base import choices
from lifecycle.records.models.condition.words import Zone
from lifecycle.records.models.objects import Face, MuseumObject
from lifecycle.records.models.pictures import PicturePurpose
from lifecycle.records.models.rules import SensitivityClass
from lifecycle.records.models.treatment import (
    AskedAgain,
    StillFits,
    TreatmentFinding,
    TreatmentStep,
)
from lifecycle.records.models.words import Vocabulary, Word


class FindingForm(forms.Form):
    """What came to light; the second half only where it changes what is known of the object."""

    term = forms.ModelChoiceField(Word.objects.none(), to_field_name="uid", label="Term")
    face = forms.ModelChoiceField(Face.objects.none(), to_field_name="uid", label="Face")
    zone = forms.ChoiceField(
        label="Zone", choices=[("", "not in one zone"), *Zone.choices], required=False
    )
    what = prose("What was seen", required=True, help_text="What was seen; then what it means.")
    picture = photo_field("Picture", required=True)
    light = forms.TypedChoiceField(
        label="Light of the picture", choices=choices(LightKind), coerce=LightKind
    )
    observed_at = moment_field("Found at")
    component_label = forms.CharField(
        label="A component that nobody knew of", max_length=80, required=False
    )
    component_description = forms.CharField(label="What it is", max_length=200, required=False)
    class_now = forms.ModelChoiceField(
        SensitivityClass.objects.none(),
        to_field_name="uid",
        label="Sensitivity class of the face from now on",
        required=False,
        empty_label="as it was",
    )
    new_face_label = forms.CharField(
        label="A face that nobody knew of", max_length=80, required=False
    )
    new_face_kind = forms.TypedChoiceField(
        label="Its kind", choices=choices(FaceKind), coerce=FaceKind, initial=FaceKind.VERSO
    )
    new_face_landmark = forms.CharField(
        label="What one sees at its top left", max_length=120, required=False
    )
    plan_change = prose(
        "What has to be done otherwise than was agreed",
        rows=2,
        help_text="Those who agreed are asked again; write a new version for what is new.",
    )

    def offer(self, thing: MuseumObject) -> None:
        fields: dict[str, Any] = self.fields
        fields["term"].queryset = words_of(Vocabulary.CONDITION_TERM)
        fields["face"].queryset = faces_of(thing)
        fields["class_now"].queryset = SensitivityClass.objects.order_by("pk")

    def new_face(self) -> FaceDetails | None:
        """The face that came to light, when one is named."""
        data = self.cleaned_data
        if not (data["new_face_label"].strip() or data["new_face_landmark"].strip()):
            return None
        return FaceDetails(
            kind=data["new_face_kind"],
            label=data["new_face_label"],
            landmark=data["new_face_landmark"],
        )


def _about_step(step: TreatmentStep) -> SubjectFacts:
    return about_object(step.museum_object) if step.showing is None else about_showing(step.showing)


@signed_in
def finding_new(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Add a finding to a step of the log."""
    step = get_object_or_404(
        TreatmentStep.objects.select_related("museum_object", "showing", "step", "face"), uid=uid
    )
    role = request.role_for(Deed.TREAT, _about_step(step))
    thing = step.museum_object
    initial = {"observed_at": step.observed_at, "face": step.face.uid if step.face else None}
    form = FindingForm(posted(request), request.FILES or None, initial=initial)
    form.offer(thing)

    def act(data: dict[str, Any]) -> Done:
        sent = data["picture"]
        received = receive_picture(sent)
        with transaction.atomic():
            picture = store_picture(
                data=received,
                name=sent.name,
                purpose=PicturePurpose.RECORD_DURING,
                by=request.person,
                role=role,
                at=request.at,
                face=data["face"],
                light=data["light"],
                taken_at=data["observed_at"],
            )
            finding = record_finding(
                by=request.person,
                role=role,
                at=request.at,
                step=step,
                found=FoundInTreatment(
                    face=data["face"],
                    term=data["term"],
                    what=data["what"],
                    picture=picture,
                    observed_at=data["observed_at"],
                    zone=data["zone"],
                    component_label=data["component_label"],
                    component_description=data["component_description"],
                    class_now=data["class_now"],
                    new_face=form.new_face(),
                    plan_change=data["plan_change"],
                ),
            )
        address = reverse("treatment-finding", args=[finding.uid])
        return Done(f"F{finding.feature.number} is on record.", address)

    page = FormPage(
        title=f"Finding during treatment of {thing.object_number}",
        submit="Keep the finding",
        back=reverse("bench", args=[step.proposal.uid])
        if step.proposal
        else reverse("bench-object", args=[thing.uid]),
        lead=f"While: {step.step.label}. It gets its number at once; the next report lists it.",
        draft=f"treatment-finding-{step.uid}",
        cautions=cautions_of(thing, CautionFor.TREAT),
    )
    return answer_form(request, form, act, page)


def _seen_finding(request: SignedInRequest, uid: UUID) -> tuple[TreatmentFinding, SubjectFacts]:
    finding = get_object_or_404(finding_rows(), uid=uid)
    showing, thing = finding.showing, finding.museum_object
    about = about_object(thing) if showing is None else about_showing(showing)
    request.role_for(Deed.SEE_SHOWING, about)
    return finding, about


@require_GET
@signed_in
def treatment_finding(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """One finding: what was seen, what it changed, what no longer fits, and who is asked."""
    finding, about = _seen_finding(request, uid)
    views = with_standing(asked_rows().filter(finding=finding))
    lines = [
        (
            view,
            AskedKind(view.asked.kind) is AskedKind.CONSENT,
            view.open
            and may_one_of(request, MAY_ANSWER.get(AskedKind(view.asked.kind), ()), about),
        )
        for view in views
    ]
    context = {
        "finding": finding,
        "lines": lines,
        "may_treat": request.may(Deed.TREAT, about),
        "may_consent": request.may(Deed.CONSENT, about),
        "back": showing_address(finding.showing, "treatment")
        if finding.showing
        else reverse("object", args=[finding.museum_object.uid]),
    }
    return render(request, "treatment/finding.html", context)


class AnswerForm(forms.Form):
    answer = forms.TypedChoiceField(
        label="Does it still fit?",
        choices=choices(StillFits),
        coerce=StillFits,
        widget=forms.RadioSelect,
    )
    why = prose("What you looked at, and what you saw", required=True, rows=2)


@signed_in
def asked_again_answer(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Say whether a picture, facsimile, mount or account still fits after a finding."""
    asked = get_object_or_404(
        AskedAgain.objects.select_related("finding").exclude(kind=AskedKind.CONSENT), uid=uid
    )
    finding, about = _seen_finding(request, asked.finding.uid)
    role = role_for_one_of(request, MAY_ANSWER[AskedKind(asked.kind)], about)
    form = AnswerForm(posted(request))

    def act(data: dict[str, Any]) -> str:
        answer = answer_asked_again(
            by=request.person, role=role, at=request.at, asked=asked, **data
        )
        return f"{asked.subject_no}: {answer.get_answer_display()}."

    page = FormPage(
        title=f"{asked.get_kind_display().capitalize()} {asked.subject_no}: does it still fit?",
        submit="Answer",
        back=reverse("treatment-finding", args=[finding.uid]),
        lead=f"F{finding.feature.number}: {finding.what.rstrip('.')}. It is in doubt, because "
        f"{asked.because}.",
    )
    return answer_form(request, form, act, page)
