"""Put somebody on record, with roles and an account where they are to sign in."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.cache import never_cache

from lifecycle.actions.people import add_colleague
from lifecycle.actions.refusals import Refused
from lifecycle.pages.door import SignedInRequest, refusal_to_form, signed_in
from lifecycle.pages.form_page import FormPage
from lifecycle.pages.people.account_forms import IN_PERSON, ColleagueForm
from lifecycle.pages.people.accounts import form_shown, hand_over
from lifecycle.pages.people.views import acting_steward


@never_cache
@signed_in
def person_new(request: SignedInRequest) -> HttpResponse:
    """Put somebody on record; with a sign-in name the one-time link is handed over at once."""
    acting = acting_steward(request)
    form = ColleagueForm(request.POST or None)
    page = FormPage(
        title="Put a person on record",
        submit="Put on record",
        back=reverse("people"),
        lead="People who sign on paper only, such as couriers, need no role and no account.",
    )
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        try:
            made = add_colleague(
                **acting, details=form.details(), roles=data["roles"], username=data["username"]
            )
        except Refused as refused:
            refusal_to_form(form, refused)
        else:
            if made.account is not None:
                return hand_over(request, made, made.account, data.get("how") or IN_PERSON)
            messages.success(request, f"{made.full_name} is on record.")
            return redirect("person", uid=made.uid)
    return form_shown(request, form, page)
