"""Where the QR code and the typed short code of a paper lead: to the record, with a notice."""

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_GET

from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.find import address_of
from lifecycle.pages.papers.printing import seen_print
from lifecycle.papers.standing import moved_on
from lifecycle.queries.find import code_hit


@require_GET
@signed_in
def landing(request: SignedInRequest, code: str) -> HttpResponse:
    """Go to the record of a print, and say so when it has moved on; any other code to its page."""
    hit = code_hit(code)
    if hit is None:
        raise Http404("No record has this short code.")
    if hit.table != "print":
        address = address_of(hit.table, hit.uid)
        if not address:
            raise Http404("The record of this short code has no page of its own.")
        return redirect(address)
    row = seen_print(request, hit.uid)
    named = f"{row.print_no}, {row.get_paper_display()} {row.record_no}, {row.page_stamp}"
    changed = moved_on(row)
    if changed is not None:
        newer = f"There is {changed.newer}. " if changed.newer else ""
        count = len(changed.lines)
        lines = f"{count} {'line differs' if count == 1 else 'lines differ'} from it. "
        messages.warning(
            request,
            f"You hold {named}. The record has moved on since it was printed. {newer}"
            f"{lines if count else ''}Open the print to compare them.",
        )
    else:
        messages.info(request, f"You hold {named}. It says what the record says.")
    return redirect(address_of(row.record_kind, row.record_uid) or reverse("print", args=[row.uid]))
