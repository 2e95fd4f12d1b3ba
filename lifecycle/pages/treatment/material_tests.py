"""One result of a material's test: read off the sheet, with what the batch is accepted for."""

from typing import Any
from uuid import UUID

from django import forms
from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.http import urlencode

from lifecycle.actions.pictures import store_document
from lifecycle.actions.treatment import ResultSaid, record_result
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.fields import day_field
from lifecycle.pages.form_page import Done, FormPage, answer_form
from lifecycle.pages.treatment.forms import prose
from lifecycle.pages.treatment.seeing import posted
from lifecycle.process.cautions import CautionFor, cautions_for
from lifecycle.process.material_tests import BAD, HowTested, MaterialUse, Rating
from lifecycle.process.rights import Deed
from lifecycle.process.words import Hazard
from lifecycle.queries.treatment.materials import treated_with
from lifecycle.records.base import choices
from lifecycle.records.models.treatment import Material


class ResultForm(forms.Form):
    """What stands on the sheet of the test."""

    how = forms.TypedChoiceField(label="Test", choices=choices(HowTested), coerce=HowTested)
    rating = forms.TypedChoiceField(
        label="Rating",
        choices=choices(Rating),
        coerce=Rating,
        help_text="P, T or U for the Oddy test; passed or failed for every other.",
    )
    copper = forms.CharField(label="Copper coupon", max_length=120, required=False)
    silver = forms.CharField(label="Silver coupon", max_length=120, required=False)
    lead = forms.CharField(label="Lead coupon", max_length=120, required=False)
    result = prose("What was seen", rows=2)
    tested_on = day_field("Test ended on")
    valid_until = day_field(
        "Counts until", required=False, help_text="Without a day: five years, as is usual."
    )
    tested_by = forms.CharField(label="Who tested it", max_length=160)
    sample_kept = forms.CharField(label="Where the sample is kept", max_length=160, required=False)
    sheet = forms.FileField(label="Sheet of the test", required=False)
    accepted_for_contact = forms.BooleanField(label="Accepted touching objects", required=False)
    accepted_for_case = forms.BooleanField(label="Accepted in a closed case", required=False)
    accepted_for_mount = forms.BooleanField(label="Accepted in mounts", required=False)


@signed_in
def material_result(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Put the result of a test of one batch on record."""
    role = request.role_for(Deed.TREAT)
    material = get_object_or_404(Material, uid=uid)
    uses = {use: f"accepted_for_{use.value}" for use in MaterialUse}
    initial = {name: getattr(material, name) for name in uses.values()}
    was_accepted = {use: initial[name] for use, name in uses.items()}
    form = ResultForm(posted(request), request.FILES or None, initial=initial)

    @transaction.atomic
    def act(data: dict[str, Any]) -> str | Done:
        sent = data.pop("sheet")
        accepted = [use for use, name in uses.items() if data.pop(name)]
        sheet = None
        if sent is not None:
            sheet = store_document(
                data=sent.read(),
                name=sent.name,
                title=f"Test of {material}",
                by=request.person,
                role=role,
                at=request.at,
                field="sheet",
            )
        row = record_result(
            by=request.person,
            role=role,
            at=request.at,
            material=material,
            said=ResultSaid(**data, sheet=sheet),
            accepted_for=accepted,
        )
        said = f"{row.get_how_display()}: {row.get_rating_display()}."
        taken_back = [use.label for use in uses if was_accepted[use] and use not in accepted]
        touched = len({step.museum_object_id for step in treated_with(material)})
        if not touched or not (row.rating in BAD or taken_back):
            return said
        why = f"{material}: {said}"
        if taken_back:
            why += f" No longer accepted {', '.join(taken_back)}."
        asked = {"name": material.name, "batch": material.batch, "reason": why}
        several = "objects were" if touched != 1 else "object was"
        said += f" {touched} {several} treated with it: choose which to call back."
        return Done(said, f"{reverse('treated-with')}?{urlencode(asked)}")

    page = FormPage(
        title=f"Test of {material}",
        submit="Keep the result",
        back=reverse("material", args=[uid]),
        lead="A pass is a pass of this batch: another batch is tested anew.",
        cautions=[one.text for one in cautions_for([Hazard.NONE_KNOWN], CautionFor.MATERIAL_TEST)],
        draft=f"material-result-{uid}",
    )
    return answer_form(request, form, act, page)
