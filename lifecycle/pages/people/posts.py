"""Forms of the steward that bound what somebody may: roles, deputies, passes."""

from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse

from lifecycle.actions.people import (
    PassDetails,
    end_deputy,
    end_role,
    give_pass,
    give_role,
    name_deputy,
    shorten_pass,
)
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.form_page import FormPage, answer_form
from lifecycle.pages.people.forms import DeputyForm, EndOnForm, PassForm, RoleForm
from lifecycle.pages.people.views import acting_steward
from lifecycle.process.days import day_words
from lifecycle.process.stages import Role
from lifecycle.queries.rights import museum_day
from lifecycle.records.models import DeputyTerm, GuestPass, Person, RoleAssignment


def _page(person: Person, title: str, submit: str, lead: str = "") -> FormPage:
    return FormPage(
        title=f"{title}: {person.full_name}",
        submit=submit,
        back=reverse("person", args=[person.uid]),
        lead=lead,
    )


@signed_in
def role_new(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Give somebody a role from–to."""
    person = get_object_or_404(Person, uid=uid)
    acting = acting_steward(request)
    form = RoleForm(request.POST or None, initial={"from_on": museum_day(request.at)})

    def act(data: dict[str, Any]) -> str:
        made = give_role(**acting, person=person, **data)
        return f"{person.full_name} is {Role(made.role).label} from {day_words(made.from_on)}."

    return answer_form(request, form, act, _page(person, "Give a role", "Give the role"))


@signed_in
def role_end(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """End a role; the address holds its uid."""
    row = get_object_or_404(RoleAssignment.objects.select_related("person"), uid=uid)
    acting = acting_steward(request)
    form = EndOnForm(request.POST or None, initial={"until_on": museum_day(request.at)})

    def act(data: dict[str, Any]) -> str:
        end_role(**acting, assignment=row, **data)
        return (
            f"{row.person.full_name} is {Role(row.role).label} until {day_words(data['until_on'])}."
        )

    page = _page(
        row.person,
        f"End the role of {Role(row.role).label}",
        "End the role",
        "What was signed in this role stays signed.",
    )
    return answer_form(request, form, act, page)


@signed_in
def deputy_new(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Name a deputy for somebody."""
    person = get_object_or_404(Person, uid=uid)
    acting = acting_steward(request)
    form = DeputyForm(request.POST or None, initial={"from_on": museum_day(request.at)})

    def act(data: dict[str, Any]) -> str:
        made = name_deputy(**acting, for_person=person, **data)
        return f"{made.deputy.full_name} may consent for {person.full_name} in that time."

    page = _page(
        person, "Name a deputy", "Name the deputy", "A deputy may consent, and nothing else."
    )
    return answer_form(request, form, act, page)


@signed_in
def deputy_end(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """End a deputy's term; the address holds its uid."""
    term = get_object_or_404(DeputyTerm.objects.select_related("for_person", "deputy"), uid=uid)
    acting = acting_steward(request)
    form = EndOnForm(request.POST or None, initial={"until_on": museum_day(request.at)})

    def act(data: dict[str, Any]) -> str:
        end_deputy(**acting, term=term, **data)
        return f"{term.deputy.full_name} is deputy until {day_words(data['until_on'])}."

    page = _page(term.for_person, f"End the term of {term.deputy.full_name}", "End the term")
    return answer_form(request, form, act, page)


@signed_in
def pass_new(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Give a courier or lender a guest pass."""
    person = get_object_or_404(Person, uid=uid)
    acting = acting_steward(request)
    form = PassForm(request.POST or None, initial={"from_on": museum_day(request.at)})

    def act(data: dict[str, Any]) -> str:
        give_pass(**acting, person=person, details=PassDetails(**data))
        return f"The guest pass of {person.full_name} is given."

    page = _page(
        person,
        "Give a guest pass",
        "Give the pass",
        "For named objects and days; every view of a guest is logged.",
    )
    return answer_form(request, form, act, page)


@signed_in
def pass_end(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """End a guest pass early; the address holds its uid."""
    row = get_object_or_404(GuestPass.objects.select_related("person"), uid=uid)
    acting = acting_steward(request)
    form = EndOnForm(request.POST or None, initial={"until_on": museum_day(request.at)})

    def act(data: dict[str, Any]) -> str:
        shorten_pass(**acting, guest_pass=row, **data)
        return f"The guest pass of {row.person.full_name} ends {day_words(data['until_on'])}."

    return answer_form(request, form, act, _page(row.person, "End the guest pass", "End the pass"))
