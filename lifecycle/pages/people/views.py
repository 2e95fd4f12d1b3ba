"""People and accounts for the steward; one's own page for everybody."""

from typing import Any
from uuid import UUID

from django.conf import settings
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_GET

from lifecycle.actions.people import change_person, set_letter
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.form_page import FormPage, answer_form
from lifecycle.pages.lists_as_tables import people_table
from lifecycle.pages.people.forms import LetterForm, PersonChangeForm
from lifecycle.pages.tables_out import wanted_file
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.queries.changes import changes_of
from lifecycle.queries.people import people_lines, person_on_record
from lifecycle.queries.rights import museum_day
from lifecycle.queries.second_factor import has_second_factor
from lifecycle.records.models import Person


def acting_steward(request: SignedInRequest) -> dict[str, Any]:
    """Who acts, as steward, when: the first arguments of every action.

    :raises NotAllowed: for anybody who is not steward
    """
    role = request.role_for(Deed.STEWARD)
    return {"by": request.person, "role": role, "at": request.at}


@require_GET
@signed_in
def people(request: SignedInRequest) -> HttpResponse:
    """Everybody on record with the roles they hold today."""
    request.role_for(Deed.STEWARD)
    asked = request.GET.get("q", "").strip()[:100]
    lines = people_lines(museum_day(request.at), asked=asked)
    file = wanted_file(request, lambda: people_table(lines))
    if file is not None:
        return file
    keep = urlencode({"q": asked}) if asked else ""
    return render(request, "people/list.html", {"lines": lines, "asked": asked, "keep": keep})


@require_GET
@signed_in
def person_page(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """One person's roles, deputies, passes and account."""
    request.role_for(Deed.STEWARD)
    person = get_object_or_404(Person.objects.select_related("account", "organisation"), uid=uid)
    context = {
        "someone": person,
        "record": person_on_record(person),
        "day": museum_day(request.at),
        "changes": changes_of(person, most=20),
        "has_password": person.account is not None and person.account.has_usable_password(),
        "second_step": has_second_factor(person),
        "sso": bool(settings.SSO),
    }
    return render(request, "people/one.html", context)


@signed_in
def person_change(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Change a name, house, address or last day."""
    person = get_object_or_404(Person, uid=uid)
    acting = acting_steward(request)
    initial = {
        "full_name": person.full_name,
        "organisation": person.organisation,
        "email": person.email,
        "ends_on": person.ends_on,
    }
    form = PersonChangeForm(request.POST or None, initial=initial)

    def act(data: dict[str, Any]) -> str:
        change_person(**acting, person=person, details=form.details(), why=data["why"])
        return f"{form.details().full_name} is changed."

    page = FormPage(
        title=f"Change {person.full_name}",
        submit="Change the person",
        back=reverse("person", args=[uid]),
        lead="What this person signed keeps the name it was signed with.",
    )
    return answer_form(request, form, act, page)


@signed_in
def me(request: SignedInRequest) -> HttpResponse:
    """One's own page: roles, and when the morning letter comes."""
    person = request.person
    role = next(iter(request.facts.posts)).role
    hour = person.letter_hour
    initial = {"letter_hour": "" if hour is None else str(hour), "zone": person.zone}
    form = LetterForm(request.POST or None, initial=initial)

    def act(data: dict[str, Any]) -> str:
        set_letter(by=person, role=role, at=request.at, person=person, **data)
        return "Your hour and zone are kept."

    page = FormPage(
        title=person.full_name,
        submit="Keep hour and zone",
        back=reverse("me"),
        template="people/me.html",
        more={
            "record": person_on_record(person),
            "day": museum_day(request.at),
            "is_inside": not request.facts.roles <= {Role.COURIER, Role.LENDER},
        },
    )
    return answer_form(request, form, act, page)
