"""Calendar: every planned install, turn, swap and de-install, by week, place and person."""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django import forms
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from lifecycle.actions.papers_out.allowed import TO_PRINT
from lifecycle.pages.display.install import may_install
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.fields import PlaceField, day_field
from lifecycle.pages.lists_as_tables import calendar_table
from lifecycle.pages.movements.views import may_see_movements
from lifecycle.pages.tables_out import most_shown, wanted_file
from lifecycle.process.rights import Deed, SubjectFacts
from lifecycle.process.words import PlaceKind
from lifecycle.queries.calendar import LIST_LIMIT, WEEKS_AHEAD, calendar
from lifecycle.queries.hands import people_with_hands
from lifecycle.queries.places import place_paths
from lifecycle.queries.rights import museum_day
from lifecycle.records.base import choices
from lifecycle.records.models import Appointment, PaperKind, Person
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Links:
    """What this person may do with one planned day; no link leads to a wall."""

    move: bool
    make: bool
    print: bool


def links_of(request: SignedInRequest, row: Appointment) -> Links:
    """Answer from the row alone, so that a long calendar asks the database nothing more."""
    about = SubjectFacts(
        exhibition_id=row.showing.exhibition_id,
        object_id=row.showing.museum_object_id,
        showing_id=row.showing_id,
        job_person_ids=frozenset({row.person_1_id, row.person_2_id}),
        at_take_down=row.kind == AppointmentKind.DEINSTALL,
    )
    making = Deed.PART_A if row.kind == AppointmentKind.DEINSTALL else Deed.HANDLE
    return Links(
        move=request.may(Deed.SCHEDULE, about),
        make=request.may(making, about),
        print=any(request.may(deed, about) for deed in TO_PRINT[PaperKind.TURN_INSTRUCTION]),
    )


@require_GET
@signed_in
def calendar_page(request: SignedInRequest) -> HttpResponse:
    """Eight weeks from the chosen day; what is late stands on top."""
    form = CalendarFilter(request.GET or None)
    fields: dict[str, Any] = form.fields
    places = [(str(uid), path) for uid, path in place_paths(kinds=GALLERY_KINDS)]
    fields["place"].choices = [("", "everywhere"), *places]
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
        most=most_shown(request, LIST_LIMIT),
    )
    file = wanted_file(request, lambda: calendar_table(weeks))
    if file is not None:
        return file
    keep = request.GET.copy()
    whole = keep.urlencode()
    keep.pop("first", None)
    context = {
        "form": form,
        "weeks": weeks,
        "monday": monday,
        "earlier": monday - timedelta(weeks=WEEKS_AHEAD),
        "later": monday + timedelta(weeks=WEEKS_AHEAD),
        "keep": keep.urlencode(),
        "whole": whole,
        "links": {
            one.appointment.pk: links_of(request, one.appointment)
            for week in weeks
            for one in week.days
        },
        "may_install": may_install(request),
        "may_see_movements": may_see_movements(request),
        "today": today,
    }
    part = request.htmx and not request.htmx.boosted
    return render(request, "calendar/weeks.html" if part else "calendar/calendar.html", context)
