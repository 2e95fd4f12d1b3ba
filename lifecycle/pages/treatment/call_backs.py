"""Find what a material touched, call all of it back at once, and the list of what waits."""

from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django import forms
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_GET

from lifecycle.actions.treatment import call_back_all, end_call_back
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.fields import day_field, reason_field
from lifecycle.pages.form_page import Done, FormPage, answer_form
from lifecycle.pages.treatment.forms import prose
from lifecycle.pages.treatment.materials import refuse_strangers
from lifecycle.pages.treatment.seeing import posted
from lifecycle.process.days import day_words
from lifecycle.process.rights import Deed
from lifecycle.queries.clock import museum_zone
from lifecycle.queries.objects import sees_all_bays
from lifecycle.queries.treatment.materials import (
    TreatedObject,
    batches_like,
    recalls,
    treated_lines,
    treated_objects,
)
from lifecycle.queries.treatment.under_old_rules import (
    changed_at,
    under_old_caution,
    under_rules_before,
)
from lifecycle.records.models.objects import MuseumObject
from lifecycle.records.models.rules import HouseRules
from lifecycle.records.models.treatment import CallBack, CautionRule, Material, TreatmentStep


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


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What the objects are looked for by: batches, a caution that was changed, house rules."""

    materials: tuple[Material, ...] = ()
    caution_rule: CautionRule | None = None
    house_rules: HouseRules | None = None

    @property
    def lead(self) -> str:
        """How the objects were treated, in words; nothing where batches are looked for."""
        if self.caution_rule is not None:
            when = day_words(changed_at(self.caution_rule).astimezone(museum_zone()))
            return (
                f"Objects treated before {when}, when the house last wrote its caution on "
                f"{self.caution_rule}, with steps that it speaks of."
            )
        if self.house_rules is not None:
            return (
                f"Objects treated under the version that was in force before {self.house_rules}, "
                f"which holds from {day_words(self.house_rules.valid_from)}."
            )
        return ""

    def lines(self, *, with_bay: bool) -> list[TreatedObject]:
        """The objects in the order of their numbers; a fixed number of queries."""
        if self.caution_rule is not None:
            steps = under_old_caution(self.caution_rule)
            return treated_lines(steps, _step_words, with_bay=with_bay)
        if self.house_rules is not None:
            steps = under_rules_before(self.house_rules)
            return treated_lines(steps, _step_words, with_bay=with_bay)
        return treated_objects(self.materials, with_bay=with_bay) if self.materials else []

    def as_cause(self) -> dict[str, Any]:
        return {
            "materials": self.materials,
            "caution_rule": self.caution_rule,
            "house_rules": self.house_rules,
        }


def _step_words(step: TreatmentStep) -> str:
    return f"{step.step.label}, {step.material}" if step.material else step.step.label


def _asked(request: SignedInRequest, find: FindForm) -> Asked:
    """What the address asks for; an unknown caution or version is a page that is not there."""
    if text := request.GET.get("caution", ""):
        try:
            rule = CautionRule.objects.filter(uid=UUID(text)).first()
        except ValueError:
            rule = None
        if rule is None:
            raise Http404("No caution of the house is called so.")
        return Asked(caution_rule=rule)
    if text := request.GET.get("rules", ""):
        number = int(text) if text.isdecimal() and len(text) < 6 else 0
        return Asked(house_rules=get_object_or_404(HouseRules, version=number))
    return Asked(materials=tuple(find.found()))


@signed_in
def treated_with(request: SignedInRequest) -> HttpResponse:
    """Every object treated with a batch or under an old rule, where it is; all called back."""
    refuse_strangers(request)
    find = FindForm(request.GET if "name" in request.GET or "batch" in request.GET else None)
    asked = _asked(request, find)
    lines = asked.lines(with_bay=sees_all_bays(request.facts))
    form = CallBackForm(posted(request), initial={"reason": request.GET.get("reason", "")[:2000]})
    form.offer(lines)

    def act(data: dict[str, Any]) -> Done:
        role = request.role_for(Deed.EXAMINE)
        made = call_back_all(
            by=request.person,
            role=role,
            at=request.at,
            objects=list(data["objects"]),
            due_on=data["due_on"],
            reason=data["reason"],
            **asked.as_cause(),
        )
        several = "objects are" if len(made) != 1 else "object is"
        return Done(f"{len(made)} {several} called back.", reverse("call-backs"))

    how = "under an old rule" if asked.lead else "with a material"
    page = FormPage(
        title=f"Objects treated {how}",
        submit="Call them back",
        back=reverse("materials"),
        lead=asked.lead,
        template="treatment/treated.html",
        more={
            "find": find,
            "asked": asked,
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
    row = get_object_or_404(
        CallBack.objects.select_related("museum_object", "material", "caution_rule", "house_rules"),
        uid=uid,
    )
    form = EndForm(posted(request))

    def act(data: dict[str, Any]) -> str:
        end_call_back(by=request.person, role=role, at=request.at, call_back=row, why=data["why"])
        return f"{row.call_back_no} is ended."

    page = FormPage(
        title=f"End {row.call_back_no}, {row.museum_object.object_number}",
        submit="End it",
        back=reverse("call-backs"),
        lead=f"{row.cause}: {row.reason}",
    )
    return answer_form(request, form, act, page)
