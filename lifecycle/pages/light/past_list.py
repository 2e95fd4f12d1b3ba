"""Past showings from old files, many at once: a table, seen line by line, then entered."""

import json

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET

from lifecycle.actions.light.past_list import enter_past_list
from lifecycle.actions.refusals import Refused
from lifecycle.exchange.past_light_list import (
    COLUMNS,
    UnreadablePast,
    headings,
    line_typed,
    lines_of_table,
)
from lifecycle.exchange.tables.reading import read_table
from lifecycle.exchange.tables.table import UnreadableTable
from lifecycle.exchange.tables.writing import csv_bytes
from lifecycle.pages.door import SignedInRequest, refusal_to_form, signed_in
from lifecycle.process.rights import Deed
from lifecycle.queries.light.past_lines import PastLine, PastMeant, what_past_lines_mean


class PastListForm(forms.Form):
    """The table; the lines that were seen travel with the form."""

    file = forms.FileField(label="The table", required=False, help_text="CSV or XLSX.")
    lines = forms.CharField(widget=forms.HiddenInput, required=False)

    def read(self) -> tuple[list[PastLine], tuple[str, ...]]:
        """Return the lines of a new table, or those that were seen already.

        :raises UnreadableTable, UnreadablePast: with the reason in one sentence
        """
        given = self.cleaned_data["file"]
        if given is None:
            try:
                known = json.loads(self.cleaned_data["lines"] or "[]")
                return [line_typed(int(number), typed) for number, typed in known], ()
            except (ValueError, TypeError, AttributeError) as bad:
                raise UnreadablePast("The lines are lost: bring the table again.") from bad
        table = read_table(given.read(), given.name)
        lines = lines_of_table(table)
        carried = json.dumps([[line.number, dict(line.typed)] for line in lines])
        self.data = {**dict(self.data.items()), "lines": carried}
        return lines, table.notes


@signed_in
def past_list(request: SignedInRequest) -> HttpResponse:
    """Bring the table, see each line, enter the good ones."""
    role = request.role_for(Deed.EXAMINE)
    posted = request.method == "POST"
    form = PastListForm(request.POST if posted else None, request.FILES if posted else None)
    seen: list[PastMeant] = []
    notes: tuple[str, ...] = ()
    if posted and form.is_valid():
        try:
            lines, notes = form.read()
            seen = what_past_lines_mean(lines, request.at)
            if "enter" in request.POST and form.cleaned_data["file"] is None:
                made = enter_past_list(by=request.person, role=role, at=request.at, lines=lines)
                count = len(made)
                said = f"{count} past showing{'' if count == 1 else 's'} entered as estimates."
                messages.success(request, said)
                return redirect("light")
        except (UnreadableTable, UnreadablePast) as trouble:
            form.add_error("file", str(trouble))
        except Refused as refused:
            refusal_to_form(form, refused)
    context = {
        "form": form,
        "seen": seen,
        "good": sum(1 for one in seen if one.good),
        "bad": sum(1 for one in seen if one.faults),
        "notes": notes,
        "columns": COLUMNS.items(),
    }
    return render(request, "light/past_list.html", context)


@require_GET
@signed_in
def past_table(request: SignedInRequest) -> HttpResponse:
    """The empty table with its headings."""
    request.role_for(Deed.EXAMINE)
    response = HttpResponse(csv_bytes(headings(), []), content_type="text/csv; charset=utf-8")
    response["Content-Disposition"] = 'attachment; filename="past-showings.csv"'
    return response
