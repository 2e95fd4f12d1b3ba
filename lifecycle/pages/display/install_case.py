"""Install a case: 'all as planned' for everything in it, a photograph and a lux for each."""

from datetime import datetime
from typing import Any
from uuid import UUID

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from lifecycle.actions.display.installing_case import CaseLine, CaseResult, install_case
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.actions.signing import Hand
from lifecycle.pages.display.hands import (
    HandsForm,
    MeterFields,
    NeededToClose,
    hands_of,
    photo_field,
)
from lifecycle.pages.display.install import meter_of, photo_of
from lifecycle.pages.display.seeing import cautions_of_all
from lifecycle.pages.door import SignedInRequest, refusal_to_form, signed_in
from lifecycle.pages.moments import moment_field
from lifecycle.pages.reasons import before_install
from lifecycle.process.cautions import CautionFor
from lifecycle.process.rights import Deed, may
from lifecycle.queries.display.checks import CaseRow, case_plan
from lifecycle.queries.display.meters import meter_kit
from lifecycle.queries.rights import about_showing, about_work_at, person_facts
from lifecycle.records.models import Place


class CaseForm(HandsForm):
    """What is said once for the whole case."""

    observed_at = moment_field("When")
    all_as_planned = forms.BooleanField(
        label="All as planned",
        help_text=(
            "Tag and picture agree, condition as before, planned face, right way up, mount fits, "
            "caption and facsimile right. Exceptions stand beside the object."
        ),
    )

    field_order = ("observed_at", "all_as_planned")


class LineForm(NeededToClose, MeterFields):
    """What each object says for itself."""

    photo = photo_field("Photograph in its place")
    upside_down = forms.BooleanField(label="Not the right way up", required=False)
    exception = forms.CharField(label="What is not as planned", required=False, max_length=300)
    leave_out = forms.BooleanField(label="Not in this visit", required=False)

    needed = ("photo", "lux", "uv", "meter")
    field_order = ("photo", "lux", "uv", "point", "meter", "sure", "upside_down", "exception")


class LineOnPage:
    """One object of the case with its own small form."""

    def __init__(self, row: CaseRow, form: LineForm, missing: list[str]) -> None:
        self.row, self.form, self.missing = row, form, missing

    def line(self) -> CaseLine | None:
        """The line as the action takes it; nothing for an object left for another visit."""
        data, row = self.form.cleaned_data, self.row
        if data.get("leave_out") or row.face is None or row.showing.place is None:
            return None
        return CaseLine(
            showing=row.showing,
            face=row.face,
            place=row.showing.place,
            photo=photo_of(data.get("photo")),
            meter=meter_of(data),
            exception=data.get("exception", ""),
            upside_down=bool(data.get("upside_down")),
        )


@signed_in
def install_case_page(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Every object planned for one case, closed together; exceptions stay open one by one."""
    case = get_object_or_404(Place.objects.select_related("parent"), uid=uid)
    about = about_work_at(case)
    request.role_for(Deed.HANDLE, about)
    rows = case_plan(case, request.facts)
    form = CaseForm(
        request.POST or None, request.FILES or None, initial={"observed_at": request.at}
    )
    form.ask_whom(request)
    kit = meter_kit([row.showing.place for row in rows if row.showing.place])
    lines = []
    missing = before_install([row.showing.pk for row in rows], request.at)
    for row in rows:
        own = LineForm(
            request.POST or None, request.FILES or None, prefix=row.showing.museum_object.code
        )
        own.offer_meters(row.showing.place, kit)
        lines.append(LineOnPage(row, own, missing[row.showing.pk]))
    if request.method == "POST" and all([form.is_valid(), *(one.form.is_valid() for one in lines)]):
        try:
            with hands_of(request, form.cleaned_data, about) as (one, other):
                said = [line for each in lines if (line := each.line()) is not None]
                _refuse_strange_hands(other, said, request.at)
                result = install_case(
                    one=one,
                    other=other,
                    at=request.at,
                    lines=said,
                    observed_at=form.cleaned_data["observed_at"],
                )
        except Refused as refused:
            refusal_to_form(form, refused)
        else:
            return _told(request, case, result)
    context = {
        "case": case,
        "form": form,
        "lines": lines,
        "cautions": cautions_of_all(
            [row.showing.museum_object for row in rows], CautionFor.INSTALL
        ),
    }
    return render(request, "display/install_case.html", context)


def _refuse_strange_hands(second: Hand, lines: list[CaseLine], at: datetime) -> None:
    """Refuse a second person who has no business with one of the objects, beside their name.

    Objects this person at the screen may not handle are not listed in the first place.
    """
    facts = person_facts(second.person, at)
    strange = [
        line.showing.museum_object.object_number
        for line in lines
        if not may(facts, Deed.HANDLE, about_showing(line.showing), second.role)
    ]
    if strange:
        text = (
            f"{second.person.full_name} is not named for {', '.join(strange)}: leave it out of "
            "this visit, or name somebody else."
        )
        raise Refused(Reason(text, "second_person", "people.second"))


def _told(request: SignedInRequest, case: Place, result: CaseResult) -> HttpResponse:
    """Say what closed and what stays open, and come back to what is left."""
    done: list[Any] = [check.showing.museum_object.object_number for check in result.closed]
    if done:
        messages.success(request, f"On display: {', '.join(done)}.")
    for left in result.left_open:
        number = left.showing.museum_object.object_number
        words = " ".join(reason.text for reason in left.reasons)
        messages.warning(request, f"{number} stays open. {words}")
    return redirect(reverse("install-case", args=[case.uid]))
