"""Somebody leaves: what they have in hand, passed on by name, and the end of their account."""

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from lifecycle.actions.people import end_account, pass_on, reopen_account
from lifecycle.actions.refusals import Refused
from lifecycle.pages.door import SignedInRequest, refusal_to_form, signed_in
from lifecycle.pages.errands import address
from lifecycle.pages.form_page import FormPage, answer_form
from lifecycle.pages.people.account_forms import BackForm, LeavingForm, PassingOnForm
from lifecycle.pages.people.views import acting_steward
from lifecycle.queries.hand_over import HandOverGroup, hand_over_list
from lifecycle.queries.people import people_in_house
from lifecycle.queries.rights import museum_day
from lifecycle.records.models import Person


def _someone(uid: UUID) -> Person:
    return get_object_or_404(Person.objects.select_related("account"), uid=uid)


def _linked(groups: list[HandOverGroup]) -> list[dict[str, Any]]:
    return [
        {
            "label": group.label,
            "advice": group.advice,
            "lines": [
                (line, address(line.route, {"uid": line.uid}) if line.uid else "")
                for line in group.lines
            ],
        }
        for group in groups
    ]


def _page(
    request: SignedInRequest,
    person: Person,
    *,
    ending: LeavingForm | None = None,
    passing: PassingOnForm | None = None,
    groups: list[HandOverGroup] | None = None,
) -> HttpResponse:
    groups = hand_over_list(person, request.at) if groups is None else groups
    today = museum_day(request.at)
    if passing is None:
        passing = PassingOnForm()
        passing.fill(person, groups, people_in_house(today))
    context = {
        "someone": person,
        "groups": _linked(groups),
        "ending": ending or LeavingForm(initial={"ends_on": person.ends_on or today}),
        "passing": passing,
        "passable": any(line.key for group in groups for line in group.lines),
        "ticked": set(request.POST.getlist("keys")),
        "is_closed": person.account is not None and not person.account.is_active,
    }
    return render(request, "people/leaving.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@signed_in
def leaving(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """The hand-over list, and the form that ends the account."""
    acting, person = acting_steward(request), _someone(uid)
    if request.method != "POST":
        return _page(request, person)
    form = LeavingForm(request.POST)
    if form.is_valid():
        try:
            end_account(**acting, person=person, **form.cleaned_data)
        except Refused as refused:
            refusal_to_form(form, refused)
        else:
            said = "is closed" if form.cleaned_data["at_once"] else "ends on that day"
            messages.success(request, f"The account of {person.full_name} {said}.")
            return redirect("person", uid=uid)
    return _page(request, person, ending=form)


@require_http_methods(["POST"])
@signed_in
def passing_on(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Pass the ticked things to one named person, all of them or none."""
    acting, person = acting_steward(request), _someone(uid)
    groups = hand_over_list(person, request.at)
    form = PassingOnForm(request.POST)
    form.fill(person, groups, people_in_house(museum_day(request.at)))
    if form.is_valid():
        data = form.cleaned_data
        try:
            count = pass_on(
                **acting, person=person, to=data["to"], keys=data["keys"], why=data["passing_why"]
            )
        except Refused as refused:
            refusal_to_form(form, refused)
        else:
            things = "thing is" if count == 1 else "things are"
            messages.success(request, f"{count} {things} passed on to {data['to'].full_name}.")
            return redirect("leaving", uid=uid)
    return _page(request, person, passing=form, groups=groups)


@signed_in
def back(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Open a closed account again."""
    acting, person = acting_steward(request), _someone(uid)

    def act(data: dict[str, Any]) -> str:
        reopen_account(**acting, person=person, **data)
        return f"The account of {person.full_name} is open again; issue a one-time link."

    page = FormPage(
        title=f"Open the account again: {person.full_name}",
        submit="Open it again",
        back=reverse("person", args=[uid]),
        lead="Roles that have ended are given anew; a one-time link lets them choose a password.",
    )
    return answer_form(request, BackForm(request.POST or None), act, page)
