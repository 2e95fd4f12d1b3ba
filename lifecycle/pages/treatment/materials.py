"""Materials: the list, a new batch, one batch with everything it touched."""

from typing import Any
from uuid import UUID

from django import forms
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_GET

from lifecycle.actions.refusals import NotAllowed
from lifecycle.actions.treatment import add_material, use_up_material
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.fields import day_field
from lifecycle.pages.form_page import FormPage, answer_form
from lifecycle.pages.treatment.forms import prose
from lifecycle.pages.treatment.seeing import posted
from lifecycle.process.material_tests import warnings_of
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.queries.changes import changes_of
from lifecycle.queries.rights import museum_day
from lifecycle.queries.treatment.cautions import material_cautions
from lifecycle.queries.treatment.materials import standings, treated_with
from lifecycle.records.base import choices
from lifecycle.records.models.treatment import Material, MaterialKind, MaterialTest

READERS = frozenset(
    {
        Role.CONSERVATOR,
        Role.CURATOR,
        Role.REGISTRAR,
        Role.MOUNT_MAKER,
        Role.TECHNICIAN,
        Role.EXHIBITION_MANAGER,
        Role.HEAD_OF_COLLECTIONS,
    }
)


def may_read_materials(request: SignedInRequest) -> bool:
    """Whether this person works on objects, and so reads what they were treated with."""
    return bool(READERS & request.facts.roles)


def refuse_strangers(request: SignedInRequest) -> None:
    """Let in who reads materials.

    :raises NotAllowed: if nothing of their work touches objects
    """
    if not may_read_materials(request):
        raise NotAllowed("Materials are read by those who work on objects.")


class MaterialForm(forms.Form):
    """One grade and batch."""

    name = forms.CharField(label="Generic name", max_length=120)
    kind = forms.TypedChoiceField(label="Kind", choices=choices(MaterialKind), coerce=MaterialKind)
    grade = forms.CharField(label="Grade", max_length=120, required=False)
    maker = forms.CharField(label="Maker or supplier", max_length=120, required=False)
    batch = forms.CharField(label="Batch", max_length=60, required=False)
    opened_on = day_field("Opened on", required=False)
    plain_words = prose(
        "What it is, in plain words",
        rows=2,
        help_text="Printed in the treatment report, for somebody who reads it in thirty years.",
    )
    safety_note = prose(
        "Safety note",
        help_text="In your words, from the safety data sheet, which stays the authority.",
    )
    test_state = forms.TypedChoiceField(
        label="Test", choices=choices(MaterialTest), coerce=MaterialTest, initial="to_test"
    )
    tested_on = day_field("Tested on", required=False)
    test_result = prose("Result of the test", rows=2)
    alkaline = forms.TypedChoiceField(
        label="Holds an alkaline reserve",
        choices=[("", "not known"), ("yes", "yes, buffered"), ("no", "no, unbuffered")],
        coerce=lambda value: value == "yes",
        empty_value=None,
        required=False,
        help_text="Boards and papers: cyanotypes, some colour prints, wool and silk want none.",
    )
    accepted_for_contact = forms.BooleanField(label="Accepted touching objects", required=False)
    accepted_for_case = forms.BooleanField(label="Accepted in a closed case", required=False)
    accepted_for_mount = forms.BooleanField(label="Accepted in mounts", required=False)


@require_GET
@signed_in
def materials(request: SignedInRequest) -> HttpResponse:
    """Every material and batch on record."""
    refuse_strangers(request)
    rows = list(Material.objects.order_by("name", "grade", "batch", "pk"))
    standing = standings(rows, museum_day(request.at))
    context = {
        "rows": [(row, list(warnings_of(standing[row.pk]))) for row in rows],
        "may_add": request.may(Deed.TREAT),
    }
    return render(request, "treatment/materials.html", context)


@signed_in
def material_new(request: SignedInRequest) -> HttpResponse:
    """Put a material on record."""
    role = request.role_for(Deed.TREAT)
    form = MaterialForm(posted(request))

    def act(data: dict[str, Any]) -> str:
        made = add_material(by=request.person, role=role, at=request.at, **data)
        return f"{made} is on record."

    page = FormPage(
        title="Put a material on record",
        submit="Keep the material",
        back=reverse("materials"),
        lead="One row for each batch, so that every object treated with it can be found again.",
    )
    return answer_form(request, form, act, page)


class UsedUpForm(forms.Form):
    on = day_field("Used up on")


@signed_in
def material(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """One batch: what is known of it, and every object it touched."""
    refuse_strangers(request)
    row = get_object_or_404(Material, uid=uid)
    standing = standings([row], museum_day(request.at))[row.pk]
    form = UsedUpForm(posted(request))

    def act(data: dict[str, Any]) -> str:
        role = request.role_for(Deed.TREAT)
        use_up_material(by=request.person, role=role, at=request.at, material=row, **data)
        return f"{row} is used up and no longer offered."

    page = FormPage(
        title=str(row),
        submit="Say it is used up",
        back=reverse("material", args=[uid]),
        template="treatment/material.html",
        more={
            "row": row,
            "cautions": material_cautions([row]),
            "used": treated_with(row),
            "results": row.results.select_related("sheet").order_by("-tested_on", "-pk"),
            "warnings": list(warnings_of(standing)),
            "may_test": request.may(Deed.TREAT),
            "may_change": request.may(Deed.TREAT) and row.used_up_on is None,
            "changes": changes_of(row),
        },
    )
    return answer_form(request, form, act, page)
