"""One made thing on one page: its facts, its pictures, what can be done with it, its history."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse

from lifecycle.actions.refusals import Refused
from lifecycle.pages.display.seeing import cautions_of, showing_address
from lifecycle.pages.door import SignedInRequest
from lifecycle.pages.fields import reason_field
from lifecycle.pages.form_page import role_for_one_of
from lifecycle.process.cautions import CautionFor
from lifecycle.process.days import day_words
from lifecycle.process.rights import Deed, SubjectFacts
from lifecycle.process.worked_back import Due
from lifecycle.queries.changes import changes_of
from lifecycle.queries.rights import about_object, about_showing
from lifecycle.records.base import Kept
from lifecycle.records.models.objects import MuseumObject
from lifecycle.records.models.people import Person
from lifecycle.records.models.pictures import Picture
from lifecycle.records.models.showings import Showing

NOT_SAID = "not said yet"


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """One line of a record; exactly one of the values is set, or it is 'not said yet'."""

    label: str
    text: str = ""
    day: date | None = None
    moment: datetime | None = None
    number: Decimal | int | None = None
    unit: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """Something a person may do from here; ``post`` is done at once, with a button."""

    href: str
    label: str
    post: bool = False
    main: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordPage:
    """Everything the page of one made thing shows."""

    title: str
    museum_object: MuseumObject
    back: str
    record: Kept
    facts: Sequence[Fact]
    mark: str = "open"
    word: str = ""
    pictures: Sequence[Picture] = ()
    ways: Sequence[Way] = ()
    notices: Sequence[str] = ()


class WhyForm(forms.Form):
    """A reason alone, for what is put out of use or called back."""

    why = reason_field()


def text(label: str, value: Any) -> Fact:
    return Fact(label=label, text=str(value) if value not in (None, "") else "")


def who(label: str, person: Person | None, at: datetime | None = None) -> Fact:
    """A person, with the moment they did it."""
    return Fact(label=label, text=person.full_name if person else "", moment=at)


def worked_back_help(lines: Iterable[tuple[str, Due]]) -> str:
    """Beside an empty day: which day the plan leads to for each face, and how it comes about."""
    said = ["Empty: it follows the plan."]
    for label, due in lines:
        said.append(f"{label}: {day_words(due.on)}. {due.because}" if due.on else due.because)
    return " ".join(said)


def about(showing: Showing | None, museum_object: MuseumObject) -> SubjectFacts:
    return about_object(museum_object) if showing is None else about_showing(showing)


def back_to(showing: Showing | None, museum_object: MuseumObject) -> str:
    if showing is None:
        return reverse("object", args=[museum_object.uid])
    return showing_address(showing, "preparation")


def show_record(request: SignedInRequest, page: RecordPage, **more: Any) -> HttpResponse:
    context = {
        "page": page,
        "changes": changes_of(page.record),
        "cautions": cautions_of(page.museum_object, CautionFor.INSTALL),
        **more,
    }
    return render(request, "preparation/record.html", context)


def do_and_return(
    request: SignedInRequest,
    deed: Any,
    *,
    deeds: Sequence[Deed],
    subject: SubjectFacts,
    said: str,
    to: str,
    **values: Any,
) -> HttpResponse:
    """Call one action of a button, and go back with what it said."""
    role = role_for_one_of(request, deeds, subject)
    try:
        deed(by=request.person, role=role, at=request.at, **values)
    except Refused as refused:
        for reason in refused.reasons:
            messages.error(request, reason.text)
    else:
        messages.success(request, said)
    return redirect(to)
