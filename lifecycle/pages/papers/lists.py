"""The Papers page: what to print, and what is still out."""

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_GET

from lifecycle.actions.papers_out.allowed import TO_PRINT
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.lists_as_tables import papers_table
from lifecycle.pages.papers.forms import AskedForm
from lifecycle.pages.tables_out import most_shown, wanted_file
from lifecycle.queries.papers_out import LIST_LIMIT, papers_out
from lifecycle.queries.papers_to_print import printables


@require_GET
@signed_in
def papers(request: SignedInRequest) -> HttpResponse:
    """What to print for a day, an exhibition, an object or a showing; and papers out by age."""
    if address := _chosen(request):
        return redirect(address)
    form = AskedForm(request.GET if _asks(request) else None, who=request.facts)
    if form.is_bound:
        form.is_valid()
    asked = form.asked()
    everything = bool(request.GET.get("all"))
    found = papers_out(
        request.facts,
        request.at,
        museum_object=asked.museum_object
        or (asked.showing.museum_object if asked.showing else None),
        everything=everything,
        most=most_shown(request, LIST_LIMIT),
    )
    file = wanted_file(request, lambda: papers_table(found))
    if file is not None:
        return file
    context = {
        "form": form,
        "asked": asked,
        "printables": printables(request.facts, request.at, asked, TO_PRINT),
        "papers": found,
        "keep": request.GET.urlencode(),
        "everything": everything,
    }
    return render(request, "papers/list.html", context)


def _asks(request: SignedInRequest) -> bool:
    return any(request.GET.get(name) for name in AskedForm.base_fields)


def _chosen(request: SignedInRequest) -> str:
    """The buttons under the list lead to a page of their own with the chosen prints."""
    for button, name in (("back", "papers-back"), ("off", "papers-write-off")):
        if button in request.GET and request.GET.getlist("print"):
            query = urlencode({"print": request.GET.getlist("print")}, doseq=True)
            return f"{reverse(name)}?{query}"
    return ""
