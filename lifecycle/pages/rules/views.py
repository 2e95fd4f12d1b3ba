"""House rules: read by all inside, approved whole by the head of collections."""

from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET

from lifecycle.actions.refusals import Refused
from lifecycle.actions.rules import add_class, add_classes, approve_rules
from lifecycle.exchange.starting_rules import figure_sets, house_sizes
from lifecycle.pages.door import SignedInRequest, refusal_to_form, signed_in
from lifecycle.pages.form_page import FormPage, answer_form
from lifecycle.pages.rules.forms import (
    ClassForm,
    RulesForm,
    StartForm,
    limits_forms,
    start_of_rules,
    start_of_set,
)
from lifecycle.pages.rules.gate_forms import GatesForm, start_of_gates
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.process.switches import ALWAYS, Switch
from lifecycle.queries.rights import museum_day
from lifecycle.queries.rules import (
    GatesSaid,
    all_rules,
    gates_said,
    last_version,
    limits_by_class,
)
from lifecycle.queries.treatment.standing import READERS

GUESTS = frozenset({Role.COURIER, Role.LENDER})


@require_GET
@signed_in
def house_rules(request: SignedInRequest) -> HttpResponse:
    """The version in force, or the one asked for, with every version there was."""
    if request.facts.roles <= GUESTS:
        request.role_for(Deed.WALK)
    asked = request.GET.get("version", "")
    day = museum_day(request.at)
    rules = all_rules(day, version=int(asked) if asked.isdecimal() and len(asked) < 6 else None)
    context = {
        "rules": rules,
        "may_approve": request.may(Deed.OVERRIDE),
        "may_call": request.may(Deed.EXAMINE),
        "may_read_standing": bool(READERS & request.facts.roles),
        "day": day,
    }
    return render(request, "rules/house_rules.html", context)


@signed_in
def rules_new(request: SignedInRequest) -> HttpResponse:
    """Copy the last version, or begin with a starting set; change it, approve it whole."""
    role = request.role_for(Deed.OVERRIDE)
    copied, today = last_version(), museum_day(request.at)
    rules = all_rules(today)
    data = request.POST if request.method == "POST" else None
    figures = figure_sets().get(request.GET.get("figures", ""))
    size = house_sizes().get(request.GET.get("size", ""))
    form = RulesForm(data, initial=start_of_rules(copied, today) | start_of_set(figures, size))
    published = {} if figures is None else {one.class_code: one for one in figures.limits}
    parts = limits_forms(rules.classes, limits_by_class(copied), data, published)
    said = gates_said(copied) if size is None else GatesSaid(off=size.off, days=size.days)
    gates = GatesForm(data, initial=start_of_gates(said))
    follows = copied.version if copied else 0
    if data is not None:
        asked = data.get("follows", "")
        follows = int(asked) if asked.isdecimal() and len(asked) < 6 else 0
        all_good = [form.is_valid(), gates.is_valid(), *(part.is_valid() for _, part in parts)]
        if all(all_good):
            limits = [part.limits(one) for one, part in parts if part.cleaned_data["in_use"]]
            try:
                made = approve_rules(
                    by=request.person,
                    role=role,
                    at=request.at,
                    details=form.details(),
                    limits=limits,
                    follows=follows,
                    off=gates.off(),
                    days=gates.days(),
                    working=gates.working(),
                )
            except Refused as refused:
                refusal_to_form(form, refused)
                if any(reason.code == "stale" for reason in refused.reasons):
                    follows = copied.version if copied else 0
            else:
                messages.success(request, f"Version {made.version} of the house rules is approved.")
                return redirect(f"{reverse('house-rules')}?version={made.version}")
    context = {
        "form": form,
        "parts": parts,
        "gates": gates,
        "always": ALWAYS,
        "follows": follows,
        "copied": copied,
        "figures": figures,
        "size": size,
    }
    return render(request, "rules/new.html", context)


@signed_in
def rules_start(request: SignedInRequest) -> HttpResponse:
    """Choose a published set of figures and the size of the house; both are edited afterwards."""
    role = request.role_for(Deed.OVERRIDE)
    sets, sizes = figure_sets(), house_sizes()
    form = StartForm(request.POST if request.method == "POST" else None, sets=sets, sizes=sizes)
    if form.is_bound and form.is_valid():
        chosen = sets[form.cleaned_data["figures"]]
        add_classes(
            by=request.person,
            role=role,
            at=request.at,
            classes=[(one.class_code, one.class_label, one.definition) for one in chosen.limits],
        )
        query = urlencode(form.cleaned_data)
        return redirect(f"{reverse('house-rules-new')}?{query}")
    lines = [
        (gate, [(one.why.get(gate.value, ""), gate.value not in one.off) for one in sizes.values()])
        for gate in Switch
    ]
    context = {"form": form, "sets": sets.values(), "sizes": sizes.values(), "gates": lines}
    return render(request, "rules/start.html", context | {"always": ALWAYS})


@signed_in
def class_new(request: SignedInRequest) -> HttpResponse:
    """Add a sensitivity class."""
    role = request.role_for(Deed.OVERRIDE)

    def act(data: dict[str, Any]) -> str:
        made = add_class(by=request.person, role=role, at=request.at, **data)
        return f"The class “{made.label}” is there; the next version gives it limits."

    page = FormPage(
        title="Add a sensitivity class",
        submit="Add the class",
        back=reverse("house-rules"),
        lead="It has no limits, and passes no gate, until a version of the rules gives it some.",
    )
    return answer_form(request, ClassForm(request.POST or None), act, page)
