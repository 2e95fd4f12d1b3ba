"""Turn days of a showing: all allowed days with every face's dose, the most even one marked."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from django import forms
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from lifecycle.pages.display.seeing import called, seen_showing
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.light.forms import illuminance_field
from lifecycle.planning.quantities import whole_lx_h
from lifecycle.planning.turn_days import EvenBy
from lifecycle.planning.turns import TurnPlan
from lifecycle.process.moves import MOVES
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Stage
from lifecycle.queries.facts import facts_of_one
from lifecycle.queries.light.turning import (
    Allowed,
    DayAround,
    Faces,
    TurnDaysAsked,
    Wish,
    turn_days_of,
)
from lifecycle.queries.rights import about_showing


class TurnDaysForm(forms.Form):
    """What is made even, on which days, at what light."""

    even_by = forms.TypedChoiceField(
        label="Make even",
        coerce=EvenBy,
        choices=[(one.value, one.label) for one in EvenBy],
        initial=EvenBy.THIS_SHOWING.value,
    )
    allowed = forms.TypedChoiceField(
        label="Turn on",
        coerce=Allowed,
        choices=[(one.value, one.label) for one in Allowed],
        initial=Allowed.CLOSED.value,
    )
    least_days = forms.IntegerField(
        label="Each face at least, days", min_value=1, max_value=3_650, initial=1
    )
    any_order = forms.BooleanField(
        label="The faces still to come may change places", required=False
    )

    def ask_light(self, faces: Faces) -> None:
        """Add one field for the light of each face; empty means as planned or read."""
        for face, lux in faces:
            said = f"Empty: {lux.normalize():f} lx, as read or planned." if lux else ""
            self.fields[f"lux_{face.uid}"] = illuminance_field(
                f"Light of {face.label}, lx", help_text=said
            )

    def wish(self, faces: Faces) -> Wish:
        data = self.cleaned_data
        said = {face.pk: data.get(f"lux_{face.uid}") for face, _ in faces}
        return Wish(
            even_by=data["even_by"],
            allowed=data["allowed"],
            least_days=data["least_days"],
            any_order=data["any_order"],
            lux={pk: lux for pk, lux in said.items() if lux is not None},
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class TableRow:
    """One allowed day as it stands in the table; doses in whole lx·h, in the faces' order."""

    day: date
    when: str
    loads: tuple[tuple[str, int], ...]
    apart: int
    best: bool
    faults: tuple[str, ...]
    around: DayAround | None


def _rows(asked: TurnDaysAsked) -> list[TableRow]:
    answer = asked.answer
    if answer is None:
        return []
    return [_row(plan, asked.around, best=plan == answer.best) for plan in answer.table]


def _row(plan: TurnPlan, around: Mapping[date, DayAround], *, best: bool) -> TableRow:
    (turn,) = plan.days
    return TableRow(
        day=turn.day,
        when=turn.when.label,
        loads=tuple((row.face.label, row.load_lx_h) for row in plan.stretches),
        apart=whole_lx_h(plan.spread),
        best=best,
        faults=plan.faults,
        around=around.get(turn.day),
    )


@require_GET
@signed_in
def turn_days_page(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """When to turn, why not in the calendar's middle, and what is not ready for it yet."""
    showing = seen_showing(request, uid)
    form = TurnDaysForm(request.GET if "even_by" in request.GET else None)

    def chosen(faces: Faces) -> Wish:
        form.ask_light(faces)
        return form.wish(faces) if form.is_valid() else Wish()

    asked = turn_days_of(showing, request.at, chosen)
    best = asked.answer.best if asked.answer else None
    blockers = []
    if showing.stage == Stage.ON_DISPLAY and asked.answer is not None:
        facts = facts_of_one(showing, request.at)
        blockers = MOVES["start_rotation"].blockers(facts)
    context = {
        "showing": showing,
        "called": called(showing),
        "asked": asked,
        "answer": asked.answer,
        "form": form,
        "rows": _rows(asked),
        "set": [] if best is None else list(zip([*best.days, None], best.stretches, strict=True)),
        "blockers": blockers,
        "may_schedule": request.may(Deed.SCHEDULE, about_showing(showing)),
    }
    return render(request, "light/turn_days.html", context)
