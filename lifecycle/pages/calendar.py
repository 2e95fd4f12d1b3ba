"""Calendar: every planned install, turn, swap and de-install, by week, place and person."""

from datetime import date, timedelta
from typing import Any

from django import forms
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.fields import PlaceField, day_field
from lifecycle.process.rights import Deed
from lifecycle.process.words import PlaceKind
from lifecycle.queries.calendar import WEEKS_AHEAD, calendar
from lifecycle.queries.hands import people_with_hands
from lifecycle.queries.places import place_paths
from lifecycle.queries.rights import museum_day
from lifecycle.records.base import choices
from lifecycle.records.models import Person
from lifecycle.records.models.display.rotation import AppointmentKind

GALLERY_KINDS = (PlaceKind.BUILDING, PlaceKind.ROOM, PlaceKind.CASE, PlaceKind.POSITION)


class CalendarFilter(forms.Form):
    """Which weeks, which place, whose days."""

    first = day_field("From", required=False)
    place = PlaceField(label="Place", required=False)
    whose = forms.ModelChoiceField(
        Person.objects.none(),
        to_field_name="uid",
        label="Person",
        required=False,
        empty_label="everybody",
    )
    kind = forms.TypedChoiceField(
        label="What",
        choices=[("", "everything"), *choices(AppointmentKind)],
        coerce=AppointmentKind,
        empty_value=None,
        required=False,
    )


@require_GET
@signed_in
def calendar_page(request: SignedInRequest) -> HttpResponse:
    """Eight weeks from the chosen day; what is late stands on top."""
    form = CalendarFilter(request.GET or None)
    fields: dict[str, Any] = form.fields
    fields["place"].fill(place_paths(kinds=GALLERY_KINDS))
    today = museum_day(request.at)
    fields["whose"].queryset = Person.objects.filter(
        pk__in=[person.pk for person in people_with_hands(today)]
    ).order_by("full_name", "pk")
    good = form.cleaned_data if form.is_bound and form.is_valid() else {}
    first: date = good.get("first") or today
    monday = first - timedelta(days=first.weekday())
    weeks = calendar(
        request.facts,
        request.at,
        first=first,
        place=good.get("place"),
        whose=good.get("whose"),
        kind=good.get("kind"),
    )
    keep = request.GET.copy()
    keep.pop("first", None)
    context = {
        "form": form,
        "weeks": weeks,
        "monday": monday,
        "earlier": monday - timedelta(weeks=WEEKS_AHEAD),
        "later": monday + timedelta(weeks=WEEKS_AHEAD),
        "keep": keep.urlencode(),
        "may_schedule": request.may(Deed.SCHEDULE),
        "today": today,
    }
    part = request.htmx and not request.htmx.boosted
    return render(request, "calendar/weeks.html" if part else "calendar/calendar.html", context)
