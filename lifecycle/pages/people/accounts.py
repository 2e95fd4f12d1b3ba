"""The steward's pages of one account: opened, given a link, tied to single sign-on."""

from typing import Any
from uuid import UUID

from django import forms
from django.conf import settings
from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.cache import never_cache

from lifecycle.actions.people import name_identity, open_account, ready_for_link
from lifecycle.actions.refusals import Refused
from lifecycle.pages.account.links import mail_link, one_time_link
from lifecycle.pages.door import SignedInRequest, refusal_to_form, signed_in
from lifecycle.pages.form_page import FormPage, answer_form
from lifecycle.pages.people.account_forms import BY_MAIL, AccountForm, IdentityForm, LinkForm
from lifecycle.pages.people.views import acting_steward
from lifecycle.queries.frame import house
from lifecycle.records.models import Account, Person


def _someone(uid: UUID) -> Person:
    return get_object_or_404(Person.objects.select_related("account"), uid=uid)


@never_cache
@signed_in
def account_open(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Open an account and hand its one-time link over."""
    person, acting = _someone(uid), acting_steward(request)
    form = AccountForm(request.POST or None)
    form.offer(person)
    page = FormPage(
        title=f"Open an account: {person.full_name}",
        submit="Open the account",
        back=reverse("person", args=[uid]),
        lead="The person chooses the password, behind a link that works once.",
    )
    if request.method == "POST" and form.is_valid():
        try:
            account = open_account(**acting, person=person, username=form.cleaned_data["username"])
        except Refused as refused:
            refusal_to_form(form, refused)
        else:
            return hand_over(request, _someone(uid), account, form.cleaned_data["how"])
    return form_shown(request, form, page)


@never_cache
@signed_in
def sign_in_link(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Issue a new one-time link: for a forgotten password, a lost device, a link that ran out."""
    person, acting = _someone(uid), acting_steward(request)
    if person.account is None:
        raise Http404
    form = LinkForm(request.POST or None)
    form.offer(person)
    page = FormPage(
        title=f"New one-time link: {person.full_name}",
        submit="Issue the link",
        back=reverse("person", args=[uid]),
        lead="The old password and any earlier link open nothing from then on, and sessions end.",
    )
    if request.method == "POST" and form.is_valid():
        data = {name: value for name, value in form.cleaned_data.items() if name != "how"}
        try:
            account = ready_for_link(**acting, person=person, **data)
        except Refused as refused:
            refusal_to_form(form, refused)
        else:
            if person.pk == request.person.pk:
                # One's own session has just ended with the old password: the link is the way back.
                return _show(request, person, account)
            return hand_over(request, person, account, form.cleaned_data["how"])
    return form_shown(request, form, page)


@signed_in
def identity(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Tie an account to an identity of the house's single sign-on; no such page without one."""
    person, acting = _someone(uid), acting_steward(request)
    if not settings.SSO or person.account is None:
        raise Http404
    form = IdentityForm(request.POST or None, initial={"identity": person.account.identity})

    def act(data: dict[str, Any]) -> str:
        name_identity(**acting, person=person, **data)
        return f"The identity of {person.full_name} is kept."

    page = FormPage(
        title=f"Single sign-on: {person.full_name}",
        submit="Keep the identity",
        back=reverse("person", args=[uid]),
        lead=f"Who this person is at {settings.SSO['name']}. Left empty, their mail address on "
        "record ties them when they first come, if the provider has proved it.",
    )
    return answer_form(request, form, act, page)


def form_shown(request: SignedInRequest, form: forms.Form, page: FormPage) -> HttpResponse:
    """The form by itself, or again with what stands against it."""
    return render(request, page.template, {"form": form, "page": page})


def hand_over(request: SignedInRequest, person: Person, account: Account, how: str) -> HttpResponse:
    """Mail a one-time link, or show it this once."""
    if how != BY_MAIL:
        return _show(request, person, account)
    person.account = account
    mail_link(person, one_time_link(account, request.at), house().name)
    said = f"The link goes to {person.email}. If it does not come, issue another one."
    messages.success(request, said)
    return redirect("person", uid=person.uid)


def _show(request: SignedInRequest, person: Person, account: Account) -> HttpResponse:
    """Show the link this once; it is in no message, no row and no log."""
    context = {"someone": person, "account": account, "link": one_time_link(account, request.at)}
    return render(request, "people/link.html", context)
