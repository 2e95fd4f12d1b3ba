"""The search box: what was typed or scanned lands on its record, or on what is near."""

from typing import Final
from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import NoReverseMatch, reverse
from django.views.decorators.http import require_GET

from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.queries.find import CodeHit, Found, code_hit, find

#: The page of a record, by the name of its table; others land where their showing is.
PAGE_OF: Final = {
    "museumobject": "object",
    "place": "place",
    "showing": "showing",
    "exhibition": "exhibition",
    "print": "print",
    "conditionreport": "condition-report",
    "housing": "housing",
    "appointment": "appointment-move",
    "instrument": "instruments",
    "assessment": "assess",
    "movement": "movement",
}


def address_of(table: str, uid: UUID) -> str:
    """Return the address of a record's page, or '' when it has none of its own."""
    try:
        return reverse(PAGE_OF[table], args=[uid])
    except (KeyError, NoReverseMatch):
        return ""


def _landing(hit: CodeHit | None) -> str:
    return address_of(hit.table, hit.uid) if hit else ""


def _only(found: tuple[Found, ...], text: str) -> str:
    """The address when there is one hit, or one whose number is exactly what was typed."""
    exact = [one for one in found if one.number.lower() == text.lower()]
    wanted = exact if len(exact) == 1 else list(found)
    if len(wanted) != 1:
        return ""
    return reverse(wanted[0].kind, args=[wanted[0].uid])


@require_GET
@signed_in
def find_page(request: SignedInRequest) -> HttpResponse:
    """Find by number, title, maker, exhibition, place or short code."""
    text = " ".join(request.GET.get("q", "").split())[:200]
    if address := _landing(code_hit(text)):
        return redirect(address)
    results = find(request.facts, text)
    if address := _only(results.all, text):
        return redirect(address)
    return render(request, "find/results.html", {"results": results, "asked": text})
