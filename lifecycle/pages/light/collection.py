"""All light accounts in one list, and lamps compared by what their light does."""

from dataclasses import dataclass
from typing import Any, Final

from django import forms
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.tables_out import ListTable, wanted_file
from lifecycle.process.rights import Deed
from lifecycle.queries.light.collection import (
    FaceInCollection,
    collection_accounts,
    with_no_figure,
)
from lifecycle.science.spectrum import RESPONSIVITY, Damage, damage_per_lumen, tungsten

A_PAGE: Final = 100
MOST_LINES: Final = 1_000


class NarrowForm(forms.Form):
    """What narrows the list of accounts."""

    q = forms.CharField(label="Number or title", required=False, max_length=200)
    up = forms.BooleanField(label="On display now", required=False)


def accounts_as_table(rows: list[FaceInCollection]) -> ListTable:
    headings = (
        *("object number", "face", "class", "allowance [lx·h]", "spent low [lx·h]"),
        *("spent likely [lx·h]", "spent high [lx·h]", "booked [lx·h]", "left [lx·h]"),
        *("lifetime [lx·h]", "on display", "last day by the account"),
    )
    lines = [
        [
            *(row.face.museum_object.object_number, row.face.label, row.sensitivity),
            *(row.allowance, row.spent.low, row.spent.likely, row.spent.high),
            *(row.booked.likely, None if row.left is None else row.left.likely),
            *(row.lifetime.likely, row.up, row.last_day),
        ]
        for row in rows
    ]
    return ListTable("all light accounts", headings, lines)


@require_GET
@signed_in
def all_accounts(request: SignedInRequest) -> HttpResponse:
    """Every face's account, the least left first; narrowed by number or title."""
    request.role_for(Deed.SEE_SHOWING)
    form = NarrowForm(request.GET)
    data = form.cleaned_data if form.is_valid() else {}
    asked, up = data.get("q", ""), bool(data.get("up"))
    rows = collection_accounts(request.facts, request.at, asked=asked, up_only=up)
    file = wanted_file(request, lambda: accounts_as_table(rows))
    if file is not None:
        return file
    keep = request.GET.copy()
    keep.pop("page", None)
    context = {
        "form": form,
        "rows": Paginator(rows, A_PAGE).get_page(request.GET.get("page")),
        "count": len(rows),
        "no_figure": with_no_figure(rows),
        "keep": keep.urlencode(),
    }
    return render(request, "light/all_accounts.html", context)


# Lamps


class LampsForm(forms.Form):
    """The spectrum of a lamp as its data sheet or a spectrometer gives it."""

    name = forms.CharField(label="Lamp", max_length=80)
    spectrum = forms.CharField(
        label="Spectrum",
        widget=forms.Textarea(attrs={"rows": 12}),
        help_text="One line for each wavelength: nm, then power per nm, in any one unit.",
    )

    def clean_spectrum(self) -> dict[float, float]:
        points: dict[float, float] = {}
        lines = [line for line in self.cleaned_data["spectrum"].splitlines() if line.strip()]
        if len(lines) > MOST_LINES:
            raise forms.ValidationError(f"At most {MOST_LINES} lines.")
        for number, line in enumerate(lines, start=1):
            parts = line.replace(";", " ").replace("\t", " ").replace(", ", " ").split()
            parts = parts if len(parts) == 2 else line.split(",")
            try:
                nm, power = (float(part.strip().replace(",", ".")) for part in parts)
            except ValueError as fault:
                text = f"Line {number} is not two numbers: “{line.strip()[:40]}”."
                raise forms.ValidationError(text) from fault
            if nm in points:
                raise forms.ValidationError(f"Line {number}: {nm:g} nm stands there twice.")
            points[nm] = power
        try:
            damage_per_lumen(points, next(iter(RESPONSIVITY.values())))
        except ValueError as fault:
            raise forms.ValidationError(str(fault)) from fault
        return points


@dataclass(frozen=True, slots=True, kw_only=True)
class OnMaterial:
    """One material under the lamp and under tungsten light of the same lux."""

    material: str
    lamp: Damage
    tungsten: Damage

    @property
    def times(self) -> float:
        return self.lamp.times(self.tungsten)


@signed_in
def lamps(request: SignedInRequest) -> HttpResponse:
    """Compare a lamp's damage per lumen with a tungsten lamp's; nothing is kept or charged."""
    request.role_for(Deed.SEE_SHOWING)
    form = LampsForm(request.POST or None)
    rows: list[OnMaterial] = []
    if request.method == "POST" and form.is_valid():
        data: dict[str, Any] = form.cleaned_data
        rows = [
            OnMaterial(
                material=material,
                lamp=damage_per_lumen(data["spectrum"], b),
                tungsten=damage_per_lumen(tungsten(), b),
            )
            for material, b in RESPONSIVITY.items()
        ]
    context = {"form": form, "rows": rows, "name": form.data.get("name", "")}
    return render(request, "light/lamps.html", context)
