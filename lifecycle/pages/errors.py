"""The page for two people on one section: both texts, the own one still editable."""

from dataclasses import dataclass

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from lifecycle.actions.refusals import Conflict
from lifecycle.pages.big_uploads import too_big as too_large

__all__ = ["conflict_page", "too_large"]


@dataclass(frozen=True, slots=True)
class ContestedText:
    """One text of which there are two; ``name`` is the form field that carries the own one."""

    label: str
    name: str
    theirs: str
    mine: str


def conflict_page(
    request: HttpRequest,
    conflict: Conflict,
    form: forms.BaseForm | None = None,
    *,
    back: str = "",
    version_field: str = "version",
) -> HttpResponse:
    """Answer 409 with both texts; what else was typed travels along unseen, nothing is lost.

    The keys of ``conflict.mine`` are labels of ``form``'s fields, or names of posted fields.
    """
    names = {key: key for key in request.POST}
    if form is not None:
        names.update({str(field.label): field.html_name for field in form})
    rows = [
        ContestedText(
            label=_words(label, form),
            name=_editable(request, names.get(label, ""), mine),
            theirs=conflict.theirs.get(label, ""),
            mine=mine,
        )
        for label, mine in conflict.mine.items()
    ]
    # What both wrote alike is not contested: it travels along unseen, like everything else.
    rows = [row for row in rows if row.theirs.strip() != row.mine.strip()] or rows
    person = getattr(request, "person", None)
    shown = {row.name for row in rows if row.name} | {"csrfmiddlewaretoken", version_field}
    others = [
        (name, value)
        for name in request.POST
        if name not in shown
        for value in request.POST.getlist(name)
    ]
    others.append((version_field, str(conflict.version)))
    context = {
        "conflict": conflict,
        "own": person is not None and person.full_name == conflict.by,
        "rows": rows,
        "others": others,
        "action": request.get_full_path(),
        "back": back or request.path,
    }
    return render(request, "409.html", context, status=409)


def _editable(request: HttpRequest, name: str, mine: str) -> str:
    """The field's name where its value is the text itself; a choice is shown in words only."""
    posted = request.POST.get(name, "").replace("\r\n", "\n").strip()
    return name if posted == mine.replace("\r\n", "\n").strip() else ""


def _words(label: str, form: forms.BaseForm | None) -> str:
    """Turn the name of a field into its label."""
    if form is not None and label in form.fields:
        return str(form[label].label)
    return label
