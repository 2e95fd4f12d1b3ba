"""The table of cautions at the bench: each rule with its source, and the house's own words."""

from typing import Any, Final

from django import forms
from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_GET

from lifecycle.actions.treatment.caution_rules import write_caution_rule
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.fields import reason_field
from lifecycle.pages.form_page import FormPage, answer_form
from lifecycle.pages.rules.views import GUESTS
from lifecycle.pages.treatment.forms import prose
from lifecycle.pages.treatment.seeing import posted
from lifecycle.process.bench_cautions import Basis, Brings, Rule, Trait
from lifecycle.process.bench_rules import RULES
from lifecycle.process.rights import Deed
from lifecycle.queries.changes import changes_of
from lifecycle.queries.treatment.cautions import caution_rules
from lifecycle.records.base import choices
from lifecycle.records.models.treatment import CautionRule

SHIPPED: Final = {rule.key: rule for rule in RULES}


@require_GET
@signed_in
def caution_list(request: SignedInRequest) -> HttpResponse:
    """Every rule, the house's own among those that ship."""
    if request.facts.roles <= GUESTS:
        request.role_for(Deed.WALK)
    rules = caution_rules()
    own = {rule.key for rule in rules if SHIPPED.get(rule.key) != rule}
    written = {(row.trait, row.brings): row.uid for row in CautionRule.objects.order_by("pk")}
    context = {
        "rows": [(rule, rule.key in own, written.get(rule.key)) for rule in rules],
        "may_call": request.may(Deed.EXAMINE),
        "may_write": request.may(Deed.OVERRIDE),
    }
    return render(request, "treatment/caution_rules.html", context)


class RuleForm(forms.Form):
    """What the house says where the two meet."""

    text = prose("Warning", required=True, help_text="What can happen, and what to do instead.")
    source = prose("Source", required=True, rows=2)
    basis = forms.TypedChoiceField(
        label="How sure", choices=choices(Basis), coerce=Basis, initial=Basis.HOUSE
    )
    asks = forms.BooleanField(
        label="Asks for a written reason before one goes on",
        required=False,
        help_text="It never bars: the conservator may always go on with a reason.",
    )
    in_use = forms.BooleanField(label="In use", required=False)
    why = reason_field("Why it is written or changed")


class NewRuleForm(RuleForm):
    """The same, with the two that meet."""

    field_order = ("trait", "brings")
    trait = forms.TypedChoiceField(
        label="What the object has", choices=choices(Trait), coerce=Trait
    )
    brings = forms.TypedChoiceField(
        label="What the step brings", choices=choices(Brings), coerce=Brings
    )


@signed_in
def caution_new(request: SignedInRequest) -> HttpResponse:
    """Write a rule of the house for two that no rule joins yet."""
    role = request.role_for(Deed.OVERRIDE)
    form = NewRuleForm(posted(request), initial={"asks": True, "in_use": True})

    def act(data: dict[str, Any]) -> str:
        made = write_caution_rule(by=request.person, role=role, at=request.at, **data)
        return f"The caution on {made} is on record."

    page = FormPage(
        title="Write a caution of the house",
        submit="Keep the caution",
        back=reverse("caution-rules"),
        lead="Where a rule for the two is there already, yours takes its place.",
    )
    return answer_form(request, form, act, page)


@signed_in
def caution_change(request: SignedInRequest, trait: str, brings: str) -> HttpResponse:
    """Put the house's words in the place of one rule."""
    role = request.role_for(Deed.OVERRIDE)
    rule = _rule(trait, brings)
    shipped = SHIPPED.get(rule.key)
    again = shipped is not None and rule != shipped and "shipped" in request.GET
    may_go_back = shipped is not None and rule != shipped and not again
    if again and shipped is not None:
        rule = shipped
    row = CautionRule.objects.filter(trait=trait, brings=brings).first()
    form = RuleForm(
        posted(request),
        initial={
            "text": rule.text,
            "source": rule.source,
            "basis": rule.basis,
            "asks": rule.asks,
            "in_use": rule.in_use,
        },
    )

    def act(data: dict[str, Any]) -> str:
        made = write_caution_rule(
            by=request.person,
            role=role,
            at=request.at,
            trait=rule.trait,
            brings=rule.brings,
            **data,
        )
        own = SHIPPED.get(rule.key) != _rule(trait, brings)
        return f"The caution on {made} is {'the house’s own now' if own else 'as it ships again'}."

    page = FormPage(
        title=f"Caution: {rule.trait.label} and {rule.brings.label}",
        submit="Keep the caution",
        back=reverse("caution-rules"),
        lead=f"{rule.trait.means} {rule.brings.means}",
        template="treatment/caution_rule.html",
        more={
            "row": row,
            "changes": changes_of(row) if row else (),
            "may_go_back": may_go_back,
        },
    )
    return answer_form(request, form, act, page)


def _rule(trait: str, brings: str) -> Rule:
    found = [rule for rule in caution_rules() if rule.key == (trait, brings)]
    if not found:
        raise Http404
    return found[0]
