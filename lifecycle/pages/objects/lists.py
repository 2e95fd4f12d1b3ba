"""The list of objects: narrowed as one types, and without scripts by a button."""

from dataclasses import dataclass
from typing import Any

from django import forms
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.form_page import may_one_of
from lifecycle.pages.lists_as_tables import objects_table
from lifecycle.pages.tables_out import wanted_file
from lifecycle.process.rights import Deed, PersonFacts
from lifecycle.queries.objects import as_read, object_lines, objects_for
from lifecycle.queries.readiness import exhibitions_to_choose
from lifecycle.records.models import Exhibition

A_PAGE = 50
KEEPERS = (Deed.EXAMINE, Deed.REGISTER)
BRINGERS = (Deed.REGISTER, Deed.STEWARD)


class NarrowForm(forms.Form):
    """What narrows the list of objects."""

    q = forms.CharField(label="Number, title or maker", required=False, max_length=200)
    exhibition = forms.ModelChoiceField(
        Exhibition.objects.none(), label="Exhibition", required=False, empty_label="any"
    )
    up = forms.BooleanField(label="On display now", required=False)

    def __init__(self, *args: Any, who: PersonFacts, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        fields["exhibition"].queryset = exhibitions_to_choose(who)


@dataclass(frozen=True, slots=True)
class Wish:
    """What the list was asked for."""

    asked: str
    exhibition_id: int | None
    on_display: bool


def _wish(form: NarrowForm) -> Wish:
    data = form.cleaned_data if form.is_valid() else {}
    exhibition = data.get("exhibition")
    return Wish(
        asked=data.get("q", ""),
        exhibition_id=exhibition.pk if exhibition else None,
        on_display=bool(data.get("up")),
    )


@require_GET
@signed_in
def objects(request: SignedInRequest) -> HttpResponse:
    """List the objects the person may see."""
    form = NarrowForm(request.GET, who=request.facts)
    wish = _wish(form)
    rows = objects_for(
        request.facts,
        asked=wish.asked,
        exhibition_id=wish.exhibition_id,
        on_display=wish.on_display,
    )
    file = wanted_file(
        request,
        lambda: objects_table(rows, request.facts, with_restriction=may_one_of(request, KEEPERS)),
    )
    if file is not None:
        return file
    page = Paginator(as_read(rows), A_PAGE).get_page(request.GET.get("page"))
    keep = request.GET.copy()
    keep.pop("page", None)
    context = {
        "form": form,
        "page": page,
        "lines": object_lines(request.facts, page.object_list),
        "keep": keep.urlencode(),
        "narrowed": any((wish.asked, wish.exhibition_id, wish.on_display)),
        "may_add": may_one_of(request, KEEPERS),
        "may_bring": may_one_of(request, BRINGERS),
    }
    part = request.htmx and not request.htmx.boosted
    return render(request, "objects/list_part.html" if part else "objects/list.html", context)
