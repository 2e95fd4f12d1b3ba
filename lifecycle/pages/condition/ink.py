"""Iron-gall ink: rate an area, keep a spot test, see an object's ratings, sign off a move."""

from functools import partial
from typing import Any
from uuid import UUID

from django import forms
from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from lifecycle.actions.condition.ink import (
    Rated,
    StripLaid,
    keep_ink_test,
    rate_ink,
    sign_off_ink,
    take_back_ink_test,
    take_back_rating,
)
from lifecycle.pages.condition.choosing import ZONES, face_field, fill_faces
from lifecycle.pages.condition.seeing import address, seen_report
from lifecycle.pages.condition.writing import press, writer
from lifecycle.pages.display.hands import photo_field
from lifecycle.pages.display.seeing import cautions_of
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.fields import day_field
from lifecycle.pages.form_page import Done, FormPage, answer_form
from lifecycle.pages.objects.one import seen_object
from lifecycle.pages.sent_pictures import keep_detail, receive_sent
from lifecycle.process.cautions import CautionFor
from lifecycle.process.ink import InkLevel, InkMethod, SpotTest, spot_test_means
from lifecycle.process.rights import Deed
from lifecycle.queries.condition.ink import ink_of, rated_face, sign_off_from
from lifecycle.queries.rights import about_object, museum_day
from lifecycle.records.base import choices
from lifecycle.records.models import Face
from lifecycle.records.models.condition import ConditionReport, InkRating, InkTest
from lifecycle.records.models.condition.ink import COLOURS


class _OfFaceForm(forms.Form):
    """A form about one of the faces that a report covers."""

    face = face_field()

    def fill(self, report: ConditionReport) -> None:
        fill_faces(self.fields["face"], report)


class InkForm(_OfFaceForm):
    """One inked area and its level."""

    area = forms.CharField(
        label="Inked area", max_length=120, help_text="Lines, a heading, a drawing: as it is found."
    )
    zone = forms.ChoiceField(label="Zone of the grid", required=False, choices=ZONES)
    level = forms.TypedChoiceField(
        label="Level",
        coerce=lambda value: InkLevel(int(value)),
        choices=[(level.value, f"{level.label}: {level.seen}") for level in InkLevel],
        widget=forms.RadioSelect,
        help_text="The worst area rates the face.",
    )
    method = forms.TypedChoiceField(label="Looked at", coerce=InkMethod, choices=choices(InkMethod))
    note = forms.CharField(label="Note", required=False, max_length=240)


class InkTestForm(_OfFaceForm):
    """One spot test."""

    area = forms.ModelChoiceField(
        InkRating.objects.none(),
        to_field_name="uid",
        label="Inked area",
        required=False,
        empty_label="none of those rated",
    )
    test = forms.TypedChoiceField(label="Test", coerce=SpotTest, choices=choices(SpotTest))
    spot = forms.CharField(
        label="Spot", max_length=120, help_text="Line, word and stroke; the back of a broad one."
    )
    strip_lot = forms.CharField(label="Lot of the strips", max_length=60)
    wetted_with = forms.CharField(
        label="Wetted with", max_length=120, help_text="The liquid, and the size of its drop."
    )
    contact_seconds = forms.IntegerField(label="Contact [s]", min_value=1, max_value=3600)
    read_after_seconds = forms.IntegerField(label="Read after [s]", min_value=0, max_value=3600)
    colour = forms.TypedChoiceField(label="Colour of the strip", coerce=int, choices=COLOURS)
    consent = forms.CharField(
        label="Consent", max_length=160, help_text="Its number, or who agreed and when."
    )
    picture = photo_field("Picture of the strip beside its spot")
    note = forms.CharField(label="Note", required=False, max_length=240)

    def fill(self, report: ConditionReport) -> None:
        super().fill(report)
        fields: dict[str, Any] = self.fields
        fields["area"].queryset = report.ink_ratings.filter(taken_back=False).order_by("number")
        fields["area"].label_from_instance = lambda row: (
            f"{row.number}. {row.area}, {InkLevel(row.level).label}"
        )


class SignOffForm(forms.Form):
    """How a face with poor ink is moved."""

    how = forms.CharField(
        label="How it is moved",
        max_length=500,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="On what, by how many people, which way up, who is present.",
    )
    until = day_field("Holds until", help_text="A later rating of this face asks anew.")


@signed_in
def ink_new(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Rate one inked area in a draft."""
    report = seen_report(request, uid)
    role = writer(request, report)
    form = InkForm(request.POST or None)
    form.fill(report)

    def act(data: dict[str, Any]) -> Done:
        face = data.pop("face").face
        row = rate_ink(
            report=report,
            rated=Rated(face=face, **data),
            by=request.person,
            role=role,
            at=request.at,
        )
        return Done(f"{row.area}: rated {data['level'].label}.", address(report, "ink"))

    page = FormPage(
        title=f"Rate an inked area in {report}",
        submit="Keep this rating",
        back=address(report, "ink"),
        lead="Area by area; the worst rates the face. Look in raking and transmitted light.",
        draft=f"condition-ink-{report.uid}",
        cautions=cautions_of(report.museum_object, CautionFor.EXAMINE),
    )
    return answer_form(request, form, act, page)


@signed_in
def ink_test_new(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Keep a spot test in a draft."""
    report = seen_report(request, uid)
    role = writer(request, report)
    form = InkTestForm(request.POST or None, request.FILES or None)
    form.fill(report)

    def act(data: dict[str, Any]) -> Done:
        face, received = data.pop("face").face, receive_sent(data.pop("picture"))
        with transaction.atomic():
            picture = keep_detail(request, role, face, received)
            row = keep_ink_test(
                report=report,
                tested=StripLaid(face=face, picture=picture, **data),
                by=request.person,
                role=role,
                at=request.at,
            )
        means = spot_test_means(SpotTest(row.test), row.colour)
        return Done(f"Spot test {row.number} is kept. {means}", address(report, "ink"))

    page = FormPage(
        title=f"A spot test in {report}",
        submit="Keep this test",
        back=address(report, "ink"),
        draft=f"condition-ink-test-{report.uid}",
        cautions=cautions_of(report.museum_object, CautionFor.SPOT_TEST),
    )
    return answer_form(request, form, act, page)


@require_POST
@signed_in
def ink_back(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Take a rating out of the draft."""
    rating = get_object_or_404(InkRating.objects.select_related("report"), uid=uid)
    report = rating.report = seen_report(request, rating.report.uid)
    deed = partial(take_back_rating, rating=rating)
    return press(request, report, deed, f"The rating of {rating.area} is taken back.", "ink")


@require_POST
@signed_in
def ink_test_back(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Take a spot test out of the draft."""
    test = get_object_or_404(InkTest.objects.select_related("report"), uid=uid)
    report = test.report = seen_report(request, test.report.uid)
    deed = partial(take_back_ink_test, test=test)
    return press(request, report, deed, f"Spot test {test.number} is taken back.", "ink")


@require_GET
@signed_in
def object_ink(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """The rated faces of an object, what each level asks, and the word before a move."""
    museum_object = seen_object(request, uid)
    today = museum_day(request.at)
    limit = sign_off_from(today)
    context = {
        "object": museum_object,
        "rated": [
            (one, limit is not None and one.level >= limit) for one in ink_of(museum_object, today)
        ],
        "may_sign_off": request.may(Deed.EXAMINE, about_object(museum_object)),
        "levels": tuple(InkLevel),
    }
    return render(request, "condition/ink_object.html", context)


@signed_in
def ink_sign_off(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """A conservator says by name how a face with poor ink is moved."""
    face = get_object_or_404(Face.objects.select_related("museum_object"), uid=uid)
    museum_object = seen_object(request, face.museum_object.uid)
    role = request.role_for(Deed.EXAMINE, about_object(museum_object))
    rated = rated_face(face, museum_day(request.at))
    form = SignOffForm(request.POST or None)

    def act(data: dict[str, Any]) -> str:
        sign_off_ink(face=face, by=request.person, role=role, at=request.at, **data)
        return f"Moving {face.label} is signed off by {request.person.full_name}."

    page = FormPage(
        title=f"Sign off how {museum_object.object_number}, {face.label}, is moved",
        submit="Sign it off",
        back=reverse("object-ink", args=[museum_object.uid]),
        lead=rated.sentence if rated else "No signed report rates the ink of this face yet.",
        cautions=cautions_of(museum_object, CautionFor.MOVE),
    )
    return answer_form(request, form, act, page)
