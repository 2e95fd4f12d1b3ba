"""The door of every page: who is here, in which roles, at which moment.

Pages are one of the places that read the clock; below them the moment is an argument.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime
from functools import wraps
from typing import Any, Concatenate, ParamSpec, cast

from django import forms
from django.conf import settings
from django.contrib.auth import logout
from django.contrib.auth.views import redirect_to_login
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.cache import patch_vary_headers
from django.utils.timezone import now

from lifecycle.actions.brought_files import gone_unless_named
from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.process.rights import NOTHING, Deed, PersonFacts, SubjectFacts, serving_posts
from lifecycle.process.stages import Role
from lifecycle.queries.clock import museum_zone, zone_named
from lifecycle.queries.people import last_pass
from lifecycle.queries.rights import museum_day, person_facts
from lifecycle.queries.second_factor import at_the_door
from lifecycle.records.models import Account, Person

P = ParamSpec("P")


class SignedInRequest(HttpRequest):
    """A request after the door. ``may`` and ``role_for`` ask the rights table for this person."""

    person: Person
    facts: PersonFacts
    at: datetime
    htmx: Any
    may: Callable[..., bool]
    role_for: Callable[..., Role]
    second_step_by: date | None
    """Until when pages open although the house rules ask for a second step; None: all is well."""
    kept_dark: bool
    """In gallery light whatever the device was set to: a bright screen at the case is light."""


@dataclass(frozen=True, slots=True)
class Guest:
    """The rights of the person at the door; the form may name one of several roles."""

    facts: PersonFacts
    asked_role: str

    def may(self, deed: Deed, about: SubjectFacts = NOTHING) -> bool:
        """Whether any of the person's roles allows the deed."""
        return any(serving_posts(self.facts, deed, about))

    def role_for(self, deed: Deed, about: SubjectFacts = NOTHING) -> Role:
        """The role in which the person acts: the one the form names, else the first that serves.

        :raises NotAllowed: if no role of theirs allows the deed here
        """
        roles = [post.role for post in serving_posts(self.facts, deed, about)]
        if not roles:
            raise NotAllowed(f"{self.facts.name} may not do this: {deed.label}.")
        return next((role for role in roles if role.value == self.asked_role), roles[0])


def second_step_first(request: HttpRequest) -> HttpResponse:
    """Lead to setting up the second step; what was sent by a form is refused in words instead."""
    if request.method in {"GET", "HEAD"}:
        return redirect("mfa_activate_totp")
    return render(request, "account/second_step_first.html", status=403)


View = Callable[Concatenate[SignedInRequest, P], HttpResponse]


def signed_in(view: View[P]) -> Callable[Concatenate[HttpRequest, P], HttpResponse]:
    """Let only people with a current account and role through, and say who they are."""

    @wraps(view)
    def through_the_door(
        request: HttpRequest, /, *args: P.args, **kwargs: P.kwargs
    ) -> HttpResponse:
        account = request.user
        if not isinstance(account, Account) or not account.is_authenticated:
            return redirect_to_login(request.get_full_path(), settings.LOGIN_URL)
        at, zone = now(), museum_zone()
        today = at.astimezone(zone).date()
        here = at_the_door(account, today)
        facts = person_facts(here.person, at, today=today) if here else None
        if here is None or facts is None or not facts.posts:
            logout(request)
            guest_pass = last_pass(here.person) if here else None
            shown = {
                "pass": guest_pass,
                "over": guest_pass is not None and guest_pass.until_on < today,
            }
            return render(request, "account/no_role.html", shown, status=403)
        person = here.person
        guest = Guest(facts, request.POST.get("acting_role", ""))
        known = cast(SignedInRequest, request)
        known.person, known.facts, known.at = person, facts, at
        known.may, known.role_for = guest.may, guest.role_for
        known.kept_dark = False
        known.second_step_by = here.set_up_by(facts, account)
        if known.second_step_by is not None and known.second_step_by < today:
            return second_step_first(known)
        own = zone_named(person.zone) if person.zone else zone
        with timezone.override(own), gone_unless_named():
            answer = view(known, *args, **kwargs)
        # Lists answer a script with their rows alone: on the way back a browser must not take
        # these rows, kept under the same address, for the whole page.
        patch_vary_headers(answer, ("HX-Request",))
        return answer

    return through_the_door


def in_our_frame(view: Callable[..., HttpResponseBase]) -> Callable[..., HttpResponseBase]:
    """Say who is here, for the header, around a page of the library; let everybody through."""

    @wraps(view)
    def framed(request: HttpRequest, /, *args: Any, **kwargs: Any) -> HttpResponseBase:
        account = request.user
        if isinstance(account, Account):
            at = now()
            today = museum_day(at)
            here = at_the_door(account, today)
            if here is not None:
                known = cast(SignedInRequest, request)
                known.person, known.at = here.person, at
                known.facts = person_facts(here.person, at, today=today)
                guest = Guest(known.facts, "")
                known.may, known.role_for = guest.may, guest.role_for
        return view(request, *args, **kwargs)

    return framed


def refusal_to_form(form: forms.BaseForm, refused: Refused) -> None:
    """Put each reason beside the field it belongs to, the rest at the top of the form."""
    for reason in refused.reasons:
        form.add_error(reason.field if reason.field in form.fields else None, reason.text)
