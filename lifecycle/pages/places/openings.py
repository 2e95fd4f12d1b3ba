"""A case that was opened: written down, and read in order."""

from typing import Any
from uuid import UUID

from django import forms
from django.http import HttpResponse
from django.urls import reverse

from lifecycle.actions.case_openings import Opening, record_opening
from lifecycle.pages.condition.choosing import closed, people_in_post
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.form_page import FormPage, answer_form
from lifecycle.pages.moments import moment_field
from lifecycle.pages.places.views import seen_place
from lifecycle.process.rights import Deed
from lifecycle.queries.rights import about_place, museum_day
from lifecycle.records.models import CaseOpening, Person, WhyOpened

SHOWN = 20


def _humidity(label: str) -> forms.DecimalField:
    return forms.DecimalField(
        label=label,
        required=False,
        max_digits=4,
        decimal_places=1,
        widget=forms.NumberInput(attrs={"step": "0.1", "inputmode": "decimal"}),
    )


class OpeningForm(forms.Form):
    why = forms.ChoiceField(label="Opened for", choices=closed(WhyOpened, empty="choose a reason"))
    note = forms.CharField(label="Note", required=False, max_length=200)
    opened_at = moment_field("Opened at")
    opened_by = forms.ModelChoiceField(
        Person.objects.none(), to_field_name="uid", label="Opened by", empty_label=None
    )
    open_minutes = forms.IntegerField(label="Minutes it stood open", required=False, min_value=0)
    rh_before = _humidity("Humidity inside before [% RH]")
    rh_after = _humidity("Humidity inside when closed again [% RH]")

    def fill(self, request: SignedInRequest) -> None:
        fields: dict[str, Any] = self.fields
        fields["opened_by"].queryset = people_in_post(museum_day(request.at))


@signed_in
def case_opened(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Write down that a case was opened; the last openings stand below."""
    place = seen_place(request, uid)
    role = request.role_for(Deed.REPORT_EVENT, about_place(place))
    initial = {"opened_at": request.at, "opened_by": request.person.uid}
    form = OpeningForm(request.POST or None, initial=initial)
    form.fill(request)

    def act(data: dict[str, Any]) -> str:
        opening = Opening(**{**data, "why": WhyOpened(data["why"])})
        record_opening(place=place, opening=opening, by=request.person, role=role, at=request.at)
        return f"It is written down that {place} was opened."

    openings = CaseOpening.objects.filter(place=place).select_related("opened_by")
    openings = openings.order_by("-opened_at", "-pk")
    page = FormPage(
        title=f"{place.name} was opened",
        submit="Write it down",
        back=reverse("place", args=[place.uid]),
        lead="Years later a change is set against every opening of the case. Installing, turning "
        "and taking down are told of anyway.",
        template="places/opened.html",
        more={"openings": openings[:SHOWN]},
    )
    return answer_form(request, form, act, page)
