"""The bench: log a step in seconds, with the limits of the consent and the cautions on top."""

from decimal import Decimal
from typing import Any
from uuid import UUID

from django import forms
from django.http import HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse

from lifecycle.actions.pictures import store_picture
from lifecycle.actions.treatment import StepDone, log_step
from lifecycle.pages.display.hands import photo_field
from lifecycle.pages.display.seeing import cautions_of
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.form_page import FormPage, answer_form
from lifecycle.pages.moments import moment_field
from lifecycle.pages.treatment.forms import prose
from lifecycle.pages.treatment.seeing import (
    about_proposal,
    faces_of,
    materials_in_use,
    posted,
    seen_proposal,
    words_of,
)
from lifecycle.process.cautions import CautionFor
from lifecycle.process.rights import Deed
from lifecycle.process.stages import CLOSED, Role
from lifecycle.process.words import LightKind
from lifecycle.queries.rights import about_object
from lifecycle.queries.treatment.bench import bench_of
from lifecycle.queries.treatment.cautions import material_cautions, media_cautions
from lifecycle.queries.treatment.consenting import clock_at
from lifecycle.queries.treatment.on_showing import on_object
from lifecycle.queries.treatment.standing import in_force_at, standing_consents, why_never
from lifecycle.records.base import choices
from lifecycle.records.models.condition import Feature
from lifecycle.records.models.objects import Face, MuseumObject
from lifecycle.records.models.people import Person
from lifecycle.records.models.pictures import Picture, PicturePurpose
from lifecycle.records.models.showings import Showing
from lifecycle.records.models.treatment import Material
from lifecycle.records.models.words import Vocabulary, Word


def _figure(label: str, **options: Any) -> forms.DecimalField:
    return forms.DecimalField(
        label=label,
        required=options.pop("required", False),
        widget=forms.NumberInput(attrs={"inputmode": "decimal", "step": "any"}),
        **options,
    )


class StepForm(forms.Form):
    """One step. Only step, result and hours must be filled."""

    step = forms.ModelChoiceField(Word.objects.none(), to_field_name="uid", label="Step")
    observed_at = moment_field("Done at")
    material = forms.ModelChoiceField(
        Material.objects.none(), to_field_name="uid", label="Material and batch", required=False
    )
    concentration = _figure("Strength, %", max_digits=5, decimal_places=2)
    amount = forms.CharField(label="Amount", max_length=80, required=False)
    minutes = _figure("Minutes", max_digits=7, decimal_places=1)
    temperature_c = _figure("Temperature, °C", max_digits=5, decimal_places=1)
    face = forms.ModelChoiceField(
        Face.objects.none(),
        to_field_name="uid",
        label="Face",
        required=False,
        empty_label="the whole object",
    )
    area = forms.CharField(label="Area", max_length=160, required=False)
    feature = forms.ModelChoiceField(
        Feature.objects.none(), to_field_name="uid", label="Feature", required=False
    )
    result = prose("Result", required=True, help_text="What was seen; then what it means.")
    hours = _figure("Hours", required=True, max_digits=5, decimal_places=2)
    removed = prose("What was removed", rows=2)
    removed_where = prose("Where it is kept", rows=2)
    caution_reason = prose("Why I went on in spite of a caution", rows=2)
    picture = photo_field("Picture", help_text="Of the state during or after this step.")
    light = forms.TypedChoiceField(
        label="Light of the picture",
        choices=choices(LightKind),
        coerce=LightKind,
        initial=LightKind.DIFFUSE,
    )
    observed_by = forms.ModelChoiceField(
        Person.objects.none(),
        to_field_name="uid",
        label="Done by",
        required=False,
        empty_label="me",
    )
    emergency = forms.BooleanField(label="Emergency: it could not wait for consent", required=False)
    emergency_reason = prose(
        "Why it could not wait",
        rows=2,
        help_text="Curator and lender are told at once; the flag stays for ever.",
    )

    def offer(self, museum_object: MuseumObject) -> None:
        fields: dict[str, Any] = self.fields
        fields["step"].queryset = words_of(Vocabulary.TREATMENT_STEP)
        fields["material"].queryset = materials_in_use()
        fields["face"].queryset = faces_of(museum_object)
        features = Feature.objects.filter(museum_object=museum_object).select_related("term")
        fields["feature"].queryset = features.order_by("number")
        fields["feature"].label_from_instance = lambda one: f"F{one.number} {one.term.label}"
        fields["observed_by"].queryset = (
            Person.objects.filter(roles__role=Role.CONSERVATOR).distinct().order_by("full_name")
        )


class ProposedStepForm(StepForm):
    """A step under a proposal may depart from it; then the clock stops."""

    deviation = forms.BooleanField(
        label="Deviation: otherwise than consented",
        required=False,
        help_text="Nothing more is done under the proposal until it is agreed.",
    )
    deviation_why = prose("What was otherwise, and why", rows=2)


def _done(data: dict[str, Any], pictures: tuple[Picture, ...]) -> StepDone:
    names = set(StepDone.__dataclass_fields__) - {"pictures", "corrects"}
    said = {name: value for name, value in data.items() if name in names}
    return StepDone(**said, pictures=pictures)


def _pictures(
    request: SignedInRequest, data: dict[str, Any], museum_object: MuseumObject, role: Role
) -> tuple[Picture, ...]:
    sent = data["picture"]
    if sent is None:
        return ()
    picture = store_picture(
        data=sent,
        name=sent.name,
        purpose=PicturePurpose.RECORD_DURING,
        by=request.person,
        role=role,
        at=request.at,
        face=data["face"],
        museum_object=museum_object,
        light=data["light"],
        taken_at=data["observed_at"],
    )
    return (picture,)


@signed_in
def bench(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """The bench page of one proposal."""
    proposal = seen_proposal(request, uid)
    role = request.role_for(Deed.TREAT, about_proposal(proposal))
    thing = proposal.museum_object
    form = ProposedStepForm(
        posted(request),
        request.FILES or None,
        initial={"observed_at": request.at, "hours": Decimal("0.25")},
    )
    form.offer(thing)

    def act(data: dict[str, Any]) -> str:
        step = log_step(
            by=request.person,
            role=role,
            at=request.at,
            museum_object=thing,
            proposal=proposal,
            done=_done(data, _pictures(request, data, thing, role)),
        )
        return f"Logged: {step.step.label} on {thing.object_number}."

    page = FormPage(
        title=f"Bench: {proposal.proposal_no}",
        submit="Log the step",
        back=reverse("bench", args=[uid]),
        draft=f"bench-{proposal.uid}",
        cautions=cautions_of(thing, CautionFor.TREAT),
        template="treatment/bench.html",
        more={"proposal": proposal, "bench": bench_of(proposal, request.at)},
    )
    return answer_form(request, form, act, page)


@signed_in
def bench_object(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Steps without a proposal: under a standing consent, or in an emergency."""
    thing = get_object_or_404(MuseumObject.objects.select_related("object_type", "lender"), uid=uid)
    role = request.role_for(Deed.TREAT, about_object(thing))
    closed = [stage.value for stage in CLOSED]
    showing = (
        Showing.objects.filter(museum_object=thing)
        .exclude(stage__in=closed)
        .order_by("-asked_at", "-pk")
        .first()
    )
    form = StepForm(
        posted(request),
        request.FILES or None,
        initial={"observed_at": request.at, "hours": Decimal("0.25")},
    )
    form.offer(thing)

    def act(data: dict[str, Any]) -> str:
        step = log_step(
            by=request.person,
            role=role,
            at=request.at,
            museum_object=thing,
            showing=showing,
            done=_done(data, _pictures(request, data, thing, role)),
        )
        under = step.standing.standing_no if step.standing else "an emergency"
        return f"Logged under {under}: {step.step.label} on {thing.object_number}."

    clock = clock_at(request.at)
    page = FormPage(
        title=f"Minor step or emergency on {thing.object_number}",
        submit="Log the step",
        back=reverse("bench-object", args=[uid]),
        draft=f"bench-object-{thing.uid}",
        cautions=cautions_of(thing, CautionFor.TREAT),
        template="treatment/bench_object.html",
        more={
            "thing": thing,
            "showing": showing,
            "never": list(why_never(thing)),
            "standing": standing_consents().filter(
                in_force_at(clock), object_type=thing.object_type_id
            ),
            "media": media_cautions(thing),
            "materials": material_cautions(materials_in_use().exclude(safety_note="")),
            "treatment": on_object(thing, request.at),
        },
    )
    return answer_form(request, form, act, page)
