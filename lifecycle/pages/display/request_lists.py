"""Ask for a list of objects: typed or brought as a file, seen with its answers, then asked."""

from typing import Any
from uuid import UUID

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from lifecycle.actions.display.asking_by_list import (
    ForEveryLine,
    ask_by_list,
    ask_line_again,
)
from lifecycle.actions.refusals import Refused
from lifecycle.exchange.request_list import (
    COLUMNS,
    UnreadableList,
    line_typed,
    lines_of_text,
    text_of_table,
)
from lifecycle.exchange.tables.reading import read_table
from lifecycle.exchange.tables.table import UnreadableTable
from lifecycle.exchange.tables.writing import csv_bytes
from lifecycle.pages.door import SignedInRequest, refusal_to_form, signed_in
from lifecycle.process.rights import Deed
from lifecycle.process.words import ListAnswer, Priority
from lifecycle.queries.display.list_lines import LineSaid
from lifecycle.queries.display.lists import answers_to, counts_of, lines_of
from lifecycle.queries.display.requests import late_by
from lifecycle.queries.rights import about_exhibition, museum_day
from lifecycle.records.base import choices
from lifecycle.records.models import Exhibition, RequestLine, RequestList

PASTED = "pasted"


class RequestListForm(forms.Form):
    """The list, and what holds for every line that says nothing else."""

    text = forms.CharField(
        label="Object numbers",
        required=False,
        strip=False,
        widget=forms.Textarea(attrs={"rows": 12, "spellcheck": "false"}),
        help_text="One a line, or copied from a spreadsheet with its headings.",
    )
    file = forms.FileField(
        label="Or a file", required=False, help_text="CSV or XLSX with the same columns."
    )
    reason = forms.CharField(
        label="Why these objects", required=False, widget=forms.Textarea(attrs={"rows": 2})
    )
    priority = forms.TypedChoiceField(
        label="Priority", choices=choices(Priority), coerce=Priority, initial=Priority.IMPORTANT
    )
    no_alternative_because = forms.CharField(
        label="Why nothing else will do",
        max_length=300,
        required=False,
        help_text="For lines that name no alternative.",
    )
    late_note = forms.CharField(label="Why it comes late", max_length=300, required=False)
    source = forms.CharField(widget=forms.HiddenInput, required=False, initial=PASTED)

    def read(self) -> tuple[list[LineSaid], tuple[str, ...]]:
        """Return the lines and what should be seen about a file; a file goes into the text box.

        :raises UnreadableList, UnreadableTable: with the reason in one sentence
        """
        notes: tuple[str, ...] = ()
        given = self.cleaned_data["file"]
        text = self.cleaned_data["text"]
        if given is not None:
            text, notes = text_of_table(read_table(given.read(), given.name))
            self.cleaned_data["text"], self.cleaned_data["source"] = text, given.name
            self.data = {**dict(self.data.items()), "text": text, "source": given.name}
        return lines_of_text(text), notes

    def for_every_line(self) -> ForEveryLine:
        names = ForEveryLine.__dataclass_fields__
        return ForEveryLine(**{name: self.cleaned_data[name] for name in names})


@signed_in
def request_list_new(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Type or bring a list, see the answer to each line, and ask; nothing is written before."""
    exhibition = get_object_or_404(Exhibition, uid=uid)
    about = about_exhibition(exhibition)
    role = request.role_for(Deed.CHOOSE, about)
    posted = request.method == "POST"
    form = RequestListForm(request.POST if posted else None, request.FILES if posted else None)
    answers: list[Any] = []
    notes: tuple[str, ...] = ()
    if posted and form.is_valid():
        try:
            lines, notes = form.read()
        except (UnreadableList, UnreadableTable) as trouble:
            form.add_error("file" if form.cleaned_data["file"] else "text", str(trouble))
        else:
            answers = answers_to(lines, exhibition, request.at)
            if "ask" in request.POST and not form.cleaned_data["file"]:
                try:
                    asked = ask_by_list(
                        by=request.person,
                        role=role,
                        at=request.at,
                        exhibition=exhibition,
                        lines=lines,
                        text=form.cleaned_data["text"],
                        source=form.cleaned_data["source"] or PASTED,
                        said=form.for_every_line(),
                    )
                except Refused as refused:
                    refusal_to_form(form, refused)
                else:
                    count = len(lines)
                    said = f"{count} line{'' if count == 1 else 's'} answered; the list is kept."
                    messages.success(request, said)
                    return redirect("request-list", uid=asked.uid)
    context = {
        "form": form,
        "exhibition": exhibition,
        "answers": answers,
        "notes": notes,
        "counts": counts_of([one.answer for one in answers]),
        "columns": COLUMNS,
        "late": late_by(exhibition, museum_day(request.at)),
    }
    return render(request, "display/request_list_new.html", context)


@require_GET
@signed_in
def request_list(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """A list as it was asked: every line with its answer, and what can still be done with it."""
    asked = _seen(request, uid)
    lines = lines_of(asked)
    context = {
        "asked": asked,
        "exhibition": asked.exhibition,
        "lines": lines,
        "counts": counts_of([one.row.answer for one in lines]),
        "may_ask": request.may(Deed.CHOOSE, about_exhibition(asked.exhibition)),
    }
    return render(request, "display/request_list.html", context)


def _seen(request: SignedInRequest, uid: UUID) -> RequestList:
    asked = get_object_or_404(RequestList.objects.select_related("exhibition", "by"), uid=uid)
    request.role_for(Deed.SEE_SHOWING, about_exhibition(asked.exhibition))
    return asked


@require_GET
@signed_in
def request_list_csv(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """The list with its answers as a table, every line in its order."""
    asked = _seen(request, uid)
    headings = ("Line", *COLUMNS, "Answer", "Because", "Not before", "Request", "Nearest numbers")
    rows = [
        (
            line.row.number,
            *(line.row.typed.get(column, "") for column in COLUMNS),
            ListAnswer(line.row.answer).label,
            line.row.because,
            line.row.earliest,
            line.row.showing.request_no if line.row.showing else "",
            ", ".join(one["number"] for one in line.row.nearest),
        )
        for line in lines_of(asked)
    ]
    response = HttpResponse(csv_bytes(headings, rows), content_type="text/csv; charset=utf-8")
    name = f"requests-{asked.exhibition.short}-{asked.at:%Y-%m-%d}.csv"
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    return response


@require_POST
@signed_in
def request_line_again(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """Ask for one line again: with a number that is near, or all the same."""
    line = get_object_or_404(
        RequestLine.objects.select_related("request_list__exhibition"), uid=uid
    )
    role = request.role_for(Deed.CHOOSE, about_exhibition(line.request_list.exhibition))
    try:
        made = ask_line_again(
            by=request.person,
            role=role,
            at=request.at,
            line=line,
            read=line_typed(line.number, line.typed),
            object_number=request.POST.get("number", "")[:200],
            all_the_same="all_the_same" in request.POST,
        )
    except Refused as refused:
        messages.error(request, str(refused))
    else:
        answer = ListAnswer(made.answer).label
        messages.success(request, f"Line {made.number}, {made.object_number}: {answer}.")
    address = reverse("request-list", args=[line.request_list.uid])
    return redirect(f"{address}#line-{line.number}")
