"""What would change it: the faces of a showing under other light, hours and days."""

from uuid import UUID

from django import forms
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from lifecycle.pages.display.seeing import called, seen_showing
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.fields import day_field
from lifecycle.pages.light.forms import illuminance_field
from lifecycle.planning.quantities import level_of
from lifecycle.planning.what_if import USUAL, Change
from lifecycle.process.days import day_words
from lifecycle.queries.light.what_if import what_if_of


class WhatIfForm(forms.Form):
    """One change of one's own; what is left empty stays as it is."""

    lux = illuminance_field("Light, lx")
    longer = forms.IntegerField(
        label="Open hours longer by, minutes",
        required=False,
        min_value=-600,
        max_value=600,
        help_text="On each open day; less than nought for shorter.",
    )
    until = day_field("Last day", required=False)

    def change(self) -> Change:
        """The change as typed, named by what was typed."""
        data = self.cleaned_data
        said = []
        if data["lux"] is not None:
            said.append(f"{data['lux'].normalize():f} lx")
        if data["longer"]:
            said.append(f"{data['longer']:+d} minutes a day")
        if data["until"] is not None:
            said.append(f"until {day_words(data['until'])}")
        name = ", ".join(said) or "as it is"
        return Change(
            label=name,
            level=None if data["lux"] is None else level_of(data["lux"]),
            longer=data["longer"] or 0,
            until=data["until"],
        )


@require_GET
@signed_in
def what_if_page(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """The usual changes, and one of one's own, for every face of a showing."""
    showing = seen_showing(request, uid)
    form = WhatIfForm(request.GET if "lux" in request.GET else None)
    changes = list(USUAL)
    if form.is_bound and form.is_valid():
        changes = [form.change(), *changes]
    context = {
        "showing": showing,
        "called": called(showing),
        "faces": what_if_of(showing, request.at, changes),
        "form": form,
    }
    return render(request, "light/what_if.html", context)
