"""The tree of places, one place, and its forms."""

from typing import Any
from uuid import UUID

from django.core.files.uploadedfile import UploadedFile
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_GET

from lifecycle.actions.many_places import add_places
from lifecycle.actions.places import (
    POINT_KEEPERS,
    add_reading_point,
    change_place,
    close_place,
    photograph_reading_point,
    retire_reading_point,
)
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.form_page import Done, FormPage, answer_form, may_one_of, role_for_one_of
from lifecycle.pages.lists_as_tables import places_table
from lifecycle.pages.places.forms import (
    CloseForm,
    NewPlacesForm,
    PlaceChangeForm,
    PointForm,
    PointPhotoForm,
    initial_of,
)
from lifecycle.pages.plan_drawings import shown_plan
from lifecycle.pages.tables_out import wanted_file
from lifecycle.process.rights import Deed
from lifecycle.process.words import PlaceKind
from lifecycle.queries.changes import changes_of
from lifecycle.queries.places import may_see_place, place_on_record, place_tree
from lifecycle.queries.plans import DRAWN, plan_of, plans_with, points_for
from lifecycle.queries.rights import about_place, about_work_at, may_see_showings
from lifecycle.records.models import Place, ReadingPoint, Showing

KEEPERS = (Deed.STEWARD, Deed.REGISTER)


def seen_place(request: SignedInRequest, uid: UUID) -> Place:
    """The place at this address.

    :raises NotAllowed: if it is a store bay and this person has no right to see it
    """
    place = get_object_or_404(
        Place.objects.select_related("parent", "timetable", "organisation"), uid=uid
    )
    if not may_see_place(request.facts, place):
        request.role_for(Deed.SEE_STORE_BAY, about_place(place))
    return place


@require_GET
@signed_in
def places(request: SignedInRequest) -> HttpResponse:
    """The tree of places."""
    asked = request.GET.get("q", "").strip()[:100]
    tree = place_tree(request.facts, asked=asked)
    file = wanted_file(request, lambda: places_table(tree))
    if file is not None:
        return file
    context = {
        "tree": tree,
        "asked": asked,
        "keep": urlencode({"q": asked}) if asked else "",
        "may_keep": may_one_of(request, KEEPERS),
    }
    part = request.htmx and not request.htmx.boosted
    return render(request, "places/tree_part.html" if part else "places/tree.html", context)


@require_GET
@signed_in
def place_page(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """What lies in one place, its reading points and hours."""
    place = seen_place(request, uid)
    record = place_on_record(place, request.facts)
    listed = {period.showing_id for period in record.on_display}
    listed |= {showing.pk for showing in record.planned}
    seen = may_see_showings(request.facts, Showing.objects.filter(pk__in=listed))
    own = plan_of(place) if PlaceKind(place.kind) in DRAWN else None
    points = [] if record.is_store else points_for(place)
    around = [] if own is not None else plans_with(points)
    plans = [shown_plan(own)] if own is not None else []
    context = {
        "place": place,
        "record": record,
        "plan": own,
        "plans": plans or [shown_plan(plan, points) for plan in around],
        "points": points,
        "may_be_drawn": PlaceKind(place.kind) in DRAWN,
        "may_install": request.may(Deed.HANDLE, about_work_at(place)),
        "open_showings": set(seen.values_list("pk", flat=True)),
        "may_keep": may_one_of(request, KEEPERS),
        "may_keep_points": may_one_of(request, POINT_KEEPERS),
        "sees_lock": may_one_of(request, KEEPERS),
        "changes": changes_of(place, most=20),
    }
    return render(request, "places/one.html", context)


def _acting(request: SignedInRequest, deeds: tuple[Deed, ...]) -> dict[str, Any]:
    """Who acts, in which role, when: the first arguments of every action."""
    return {"by": request.person, "role": role_for_one_of(request, deeds), "at": request.at}


@signed_in
def place_new(request: SignedInRequest) -> HttpResponse:
    """Put a place on record."""
    acting = _acting(request, KEEPERS)
    form = NewPlacesForm(request.POST or None, initial={"parent": request.GET.get("in", "")})

    def act(data: dict[str, Any]) -> Done:
        made = add_places(
            **acting,
            names=data["name"],
            details=form.details(),
            inside=data["inside"] or 0,
        )
        if len(made) == 1:
            return Done(f"{made[0].name} is on record.", reverse("place", args=[made[0].uid]))
        above = made[0].parent
        back = reverse("place", args=[above.uid]) if above else reverse("places")
        return Done(f"{len(made)} places are on record: {made[0].name} to {made[-1].name}.", back)

    page = FormPage(title="Add a place", submit="Add the place", back=reverse("places"))
    return answer_form(request, form, act, page)


@signed_in
def place_change(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Change a place."""
    place = seen_place(request, uid)
    acting = _acting(request, KEEPERS)
    form = PlaceChangeForm(request.POST or None, initial=initial_of(place))

    def act(data: dict[str, Any]) -> str:
        change_place(**acting, place=place, details=form.details(), why=data["why"])
        return f"{form.details().name} is changed."

    page = FormPage(
        title=f"Change {place.name}",
        submit="Change the place",
        back=reverse("place", args=[uid]),
        lead="New hours count for the light from today; what was lit before stays as it was.",
    )
    return answer_form(request, form, act, page)


@signed_in
def place_close(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Take a place out of use."""
    place = seen_place(request, uid)
    acting = _acting(request, KEEPERS)

    def act(data: dict[str, Any]) -> Done:
        close_place(**acting, place=place, why=data["why"])
        return Done(f"{place.name} is closed.", reverse("places"))

    page = FormPage(
        title=f"Close {place.name}",
        submit="Close the place",
        back=reverse("place", args=[uid]),
        lead="It is offered no longer; what happened there stays on record.",
    )
    return answer_form(request, CloseForm(request.POST or None), act, page)


@signed_in
def point_new(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Fix a reading point."""
    place = seen_place(request, uid)
    acting = _acting(request, POINT_KEEPERS)

    def act(data: dict[str, Any]) -> str:
        made = add_reading_point(
            **acting,
            place=place,
            letter=data["letter"],
            label=data["label"],
            **_sent(data["photo"]),
        )
        return f"Point {made.letter} is fixed in {place.name}."

    page = FormPage(
        title=f"Fix a reading point in {place.name}",
        submit="Fix the point",
        back=reverse("place", args=[uid]),
        lead="Readings can only be compared when they are taken at the same spot and plane.",
    )
    form = PointForm(request.POST or None, request.FILES or None)
    return answer_form(request, form, act, page)


def _sent(photo: UploadedFile[bytes] | None) -> dict[str, Any]:
    return {} if photo is None else {"photo": photo.read(), "photo_name": photo.name or ""}


@signed_in
def point_photo(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Photograph a reading point; the address holds the point's uid."""
    point = get_object_or_404(ReadingPoint.objects.select_related("place"), uid=uid)
    acting = _acting(request, POINT_KEEPERS)

    def act(data: dict[str, Any]) -> str:
        photograph_reading_point(**acting, point=point, **_sent(data["photo"]))
        return f"Point {point.letter} is photographed."

    page = FormPage(
        title=f"Photograph point {point.letter} in {point.place.name}",
        submit="Keep the photograph",
        back=f"{reverse('place', args=[point.place.uid])}#light",
        lead=point.label,
    )
    form = PointPhotoForm(request.POST or None, request.FILES or None)
    return answer_form(request, form, act, page)


@signed_in
def point_retire(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Retire a reading point; the address holds the point's uid."""
    point = get_object_or_404(ReadingPoint.objects.select_related("place"), uid=uid)
    acting = _acting(request, POINT_KEEPERS)

    def act(data: dict[str, Any]) -> str:
        retire_reading_point(**acting, point=point, why=data["why"])
        return f"Point {point.letter} is retired; its readings stay."

    page = FormPage(
        title=f"Retire point {point.letter} in {point.place.name}",
        submit="Retire the point",
        back=reverse("place", args=[point.place.uid]),
        lead=point.label,
    )
    return answer_form(request, CloseForm(request.POST or None), act, page)
