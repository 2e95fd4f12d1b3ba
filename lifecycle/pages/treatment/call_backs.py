"""Find what a material touched, call all of it back at once, and the list of what waits."""

from typing import Any
from uuid import UUID

from django import forms
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_GET

from lifecycle.actions.treatment import call_back_all, end_call_back
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.fields import day_field, reason_field
from lifecycle.pages.form_page import FormPage, answer_form
from lifecycle.pages.treatment.forms import prose
from lifecycle.pages.treatment.materials import refuse_strangers
from lifecycle.pages.treatment.seeing import posted
from lifecycle.process.rights import Deed
from lifecycle.queries.clock import museum_zone
from lifecycle.queries.objects import sees_all_bays
from lifecycle.queries.treatment.materials import (
    TreatedObject,
    batches_like,
    recalls,
    treated_objects,
)
from lifecycle.records.models.objects import MuseumObject
from lifecycle.records.models.treatment import CallBack, Material


class FindForm(forms.Form):
    """A material by its name, a batch, or both."""

    name = forms.CharField(label="Material", max_length=120, required=False)
    batch = forms.CharField(label="Batch", max_length=60, required=False)

    def found(self) -> list[Material]:
        """The batches that are meant; one that is not on record gets a word beside its field."""
        if not self.is_bound or not self.is_valid():
            return []
        name, batch = self.cleaned_data["name"], self.cleaned_data["batch"]
        if not (name.strip() or batch.strip()):
            self.add_error("name", "Write the name of a material, or a batch.")
            return []
        if rows := batches_like(name, batch):
            return rows
        others = batches_like(name, "")[:8] if batch.strip() and name.strip() else []
        if others:
            there = ", ".join(one.batch or "without a number" for one in others)
            text = f"No batch “{batch}” of “{name}” is on record. On record: {there}."
            self.add_error("batch", text)
        elif batch.strip():
            self.add_error("batch", f"No batch “{batch}” is on record.")
        else:
            self.add_error("name", f"No material called “{name}” is on record.")
        return []


class CallBackForm(forms.Form):
    """Which objects, what to look for, and by when."""

    objects = forms.ModelMultipleChoiceField(
        MuseumObject.objects.none(),
        to_field_name="uid",
        label="Objects",
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": "Choose at least one object."},
    )
    reason = prose("What to look for, and why", required=True, rows=2)
    due_on = day_field("Look by")

    def offer(self, lines: list[TreatedObject]) -> None:
        fields: dict[str, Any] = self.fields
        things = [line.museum_object for line in lines]
        fields["objects"].queryset = MuseumObject.objects.filter(pk__in=[t.pk for t in things])
        fields["objects"].choices = [(str(one.uid), one.object_number) for one in things]
        self.initial.setdefault(
            "objects",
            [str(line.museum_object.uid) for line in lines if not line.call_backs],
        )


@signed_in
def treated_with(request: SignedInRequest) -> HttpResponse:
    """Every object a material or a batch touched, where it is now; all of them called back."""
    refuse_strangers(request)
    find = FindForm(request.GET if "name" in request.GET or "batch" in request.GET else None)
    materials = find.found()
    lines = treated_objects(materials, with_bay=sees_all_bays(request.facts)) if materials else []
    form = CallBackForm(posted(request), initial={"reason": request.GET.get("reason", "")[:2000]})
    form.offer(lines)

    def act(data: dict[str, Any]) -> str:
        role = request.role_for(Deed.EXAMINE)
        made = call_back_all(
            by=request.person,
            role=role,
            at=request.at,
            materials=materials,
            objects=list(data["objects"]),
            due_on=data["due_on"],
            reason=data["reason"],
        )
        several = "objects are" if len(made) != 1 else "object is"
        return f"{len(made)} {several} called back.|{reverse('call-backs')}"

    page = FormPage(
        title="Objects treated with a material",
        submit="Call them back",
        back=reverse("materials"),
        template="treatment/treated.html",
        more={
            "find": find,
            "materials": materials,
            "lines": list(zip(lines, form["objects"], strict=True)),
            "may_call": request.may(Deed.EXAMINE),
        },
    )
    return answer_form(request, form, act, page)


@require_GET
@signed_in
def call_backs(request: SignedInRequest) -> HttpResponse:
    """What has to be looked at again on account of a treatment, by the day it is due."""
    refuse_strangers(request)
    rows = recalls(museum_zone(), with_bay=sees_all_bays(request.facts))
    context = {"rows": rows, "may_look": request.may(Deed.EXAMINE)}
    return render(request, "treatment/call_backs.html", context)


class EndForm(forms.Form):
    why = reason_field("Why nobody has to look any more")


@signed_in
def call_back_end(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """End a call-back without a look."""
    role = request.role_for(Deed.EXAMINE)
    row = get_object_or_404(CallBack.objects.select_related("museum_object", "material"), uid=uid)
    form = EndForm(posted(request))

    def act(data: dict[str, Any]) -> str:
        end_call_back(by=request.person, role=role, at=request.at, call_back=row, why=data["why"])
        return f"{row.call_back_no} is ended."

    page = FormPage(
        title=f"End {row.call_back_no}, {row.museum_object.object_number}",
        submit="End it",
        back=reverse("call-backs"),
        lead=f"{row.material}: {row.reason}",
    )
    return answer_form(request, form, act, page)
