"""The plan of a gallery: a drawing is kept, the reading points are put on it."""

from collections.abc import Sequence
from decimal import Decimal
from typing import Any
from uuid import UUID

from django import forms
from django.http import Http404, HttpResponse
from django.urls import reverse

from lifecycle.actions.pictures import receive_picture
from lifecycle.actions.places import POINT_KEEPERS
from lifecycle.actions.plans import Percent, keep_plan, put_points_on_plan
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.fields import day_field
from lifecycle.pages.form_page import Done, FormPage, answer_form, role_for_one_of
from lifecycle.pages.light.forms import figure_field
from lifecycle.pages.places.views import seen_place
from lifecycle.pages.plan_drawings import shown_plan
from lifecycle.planning.counting import counted
from lifecycle.process.words import PlaceKind
from lifecycle.queries.plans import DRAWN, earlier_spots, labels_of, plan_of, points_for
from lifecycle.queries.rights import museum_day
from lifecycle.records.models import Place, ReadingPoint


class PlanForm(forms.Form):
    """A drawing of a place, with who made it and when."""

    picture = forms.FileField(
        label="Drawing of the place",
        help_text="PNG, JPEG, TIFF, WebP or HEIC, seen from above; a photograph of a paper plan "
        "will do.",
        widget=forms.FileInput(attrs={"accept": "image/*"}),
    )
    drawn_by = forms.CharField(label="Drawn by", max_length=120)
    drawn_on = day_field("Drawn on")


class OnPlanForm(forms.Form):
    """Each reading point in per cent of the drawing; both fields empty: not on the plan."""

    def __init__(self, *args: Any, points: Sequence[ReadingPoint], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.points = points
        for point in points:
            name = f"{point.place.name}, {point.letter}"
            for axis, words in (("across", "from the left"), ("down", "from the top")):
                self.fields[f"{axis}_{point.pk}"] = figure_field(
                    f"{name}: % {words}", required=False, places=2
                )

    @property
    def rows(self) -> list[tuple[ReadingPoint, str, forms.BoundField, forms.BoundField]]:
        """Each point, what stands beside it on the plan, and its two fields."""
        labels = labels_of(self.points)
        return [
            (one, labels[one.pk], self[f"across_{one.pk}"], self[f"down_{one.pk}"])
            for one in self.points
        ]

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        for point in self.points:
            across, down = data.get(f"across_{point.pk}"), data.get(f"down_{point.pk}")
            if (across is None) != (down is None):
                missing = "across" if across is None else "down"
                if f"{missing}_{point.pk}" not in self.errors:
                    self.add_error(f"{missing}_{point.pk}", "Write both figures, or neither.")
        return data

    def spots(self) -> dict[int, Percent | None]:
        found: dict[int, Percent | None] = {}
        for point in self.points:
            across = self.cleaned_data[f"across_{point.pk}"]
            down = self.cleaned_data[f"down_{point.pk}"]
            found[point.pk] = None if across is None or down is None else (across, down)
        return found


def _drawn_place(request: SignedInRequest, uid: UUID) -> Place:
    """The place at this address, if a plan can be drawn of it."""
    place = seen_place(request, uid)
    if PlaceKind(place.kind) not in DRAWN:
        raise Http404
    return place


@signed_in
def plan_new(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Keep a drawing of a place, the first or a newer one."""
    place = _drawn_place(request, uid)
    role = role_for_one_of(request, POINT_KEEPERS)
    form = PlanForm(
        request.POST or None,
        request.FILES or None,
        initial={"drawn_by": request.person.full_name, "drawn_on": museum_day(request.at)},
    )

    def act(data: dict[str, Any]) -> Done:
        kept = keep_plan(
            by=request.person,
            role=role,
            at=request.at,
            place=place,
            picture=receive_picture(data["picture"]),
            picture_name=data["picture"].name or "",
            drawn_by=data["drawn_by"],
            drawn_on=data["drawn_on"],
        )
        next_page = reverse("plan-points", args=[place.uid])
        said = f"Plan {kept.number} of {place.name} is kept. Put its reading points on it."
        return Done(said, next_page)

    page = FormPage(
        title=f"A plan of {place.name}",
        submit="Keep the plan",
        back=f"{reverse('place', args=[place.uid])}#plan",
        lead="It stands on this page, on the walk and on the reading sheet. A plan that was there "
        "before stays on record.",
    )
    return answer_form(request, form, act, page)


@signed_in
def plan_points(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Put the reading points on the newest plan by tapping, or in per cent."""
    place = _drawn_place(request, uid)
    role = role_for_one_of(request, POINT_KEEPERS)
    kept = plan_of(place)
    if kept is None:
        raise Http404
    points = points_for(place)
    lies = {spot.point.pk: (spot.across, spot.down) for spot in kept.spots}
    proposed = {} if lies else earlier_spots(kept.plan)
    initial: dict[str, Any] = {}
    for pk, (across, down) in (proposed | lies).items():
        initial |= {f"across_{pk}": _percent(across), f"down_{pk}": _percent(down)}
    form = OnPlanForm(request.POST or None, points=points, initial=initial)

    def act(data: dict[str, Any]) -> str:
        count = put_points_on_plan(
            by=request.person, role=role, at=request.at, plan=kept.plan, spots=form.spots()
        )
        return f"The plan of {place.name} shows {count} of {counted(len(points), 'point')}."

    page = FormPage(
        title=f"Points on the plan of {place.name}",
        submit="Keep the places",
        back=f"{reverse('place', args=[place.uid])}#plan",
        lead="Where they lay on the plan before is proposed: look at each, then keep them."
        if proposed
        else "",
        template="places/plan_points.html",
        draft=f"plan-{kept.plan.uid}",
        more={"shown": shown_plan(kept, ()), "place": place},
    )
    return answer_form(request, form, act, page)


def _percent(value: float) -> str:
    return f"{Decimal(str(value)).normalize():f}"
