"""The search box: what was typed or scanned lands on its record, or on what is near."""

from typing import Final
from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import NoReverseMatch, reverse
from django.views.decorators.http import require_GET

from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.queries.find import CodeHit, Found, code_hit, find, proposal_of_report, showing_of

#: The page of a record whose code is printed, by the name of its table.
PAGE_OF: Final = {
    "conditionreport": "condition-report",
    "exhibition": "exhibition",
    "facsimile": "facsimile",
    "housing": "housing",
    "imagingjob": "imaging",
    "incident": "incident",
    "instrument": "instrument-change",
    "mount": "mount",
    "movement": "movement",
    "museumobject": "object",
    "place": "place",
    "print": "print",
    "showing": "showing",
}
#: Records that are read on the page of their showing: the part of it that shows them.
PART_OF_SHOWING: Final = {
    "appointment": "display",
    "assessment": "display",
    "installcheck": "display",
    "takedown": "display",
    "turnrecord": "display",
}


def address_of(table: str, uid: UUID) -> str:
    """Return the address of the page where a record is read, or '' when there is none."""
    try:
        if table in PART_OF_SHOWING:
            showing = showing_of(table, uid)
            part = PART_OF_SHOWING[table]
            return f"{reverse('showing', args=[showing])}#{part}" if showing else ""
        if table == "treatmentreport":
            proposal = proposal_of_report(uid)
            return reverse("treatment-report", args=[proposal]) if proposal else ""
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
