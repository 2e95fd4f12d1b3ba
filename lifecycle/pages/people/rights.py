"""Who may do what: the table of rights for everybody inside, and who holds each role today."""

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.process.rights import OWN, RIGHTS, Deed
from lifecycle.process.stages import Role
from lifecycle.queries.people import holders_today
from lifecycle.queries.rights import museum_day

GUESTS = frozenset({Role.COURIER, Role.LENDER})


@require_GET
@signed_in
def who_may(request: SignedInRequest) -> HttpResponse:
    """Print the rights table as the code has it; name the people for those who answer for them."""
    if request.facts.roles <= GUESTS:
        request.role_for(Deed.WALK)
    table = [
        (deed.label, [(role, OWN[RIGHTS[deed][role]]) for role in Role if role in RIGHTS[deed]])
        for deed in Deed
    ]
    by_role = [
        (role, [(deed.label, OWN[RIGHTS[deed][role]]) for deed in Deed if role in RIGHTS[deed]])
        for role in Role
    ]
    named = request.may(Deed.STEWARD) or request.may(Deed.OVERRIDE)
    context = {
        "table": table,
        "by_role": by_role,
        "mine": request.facts.roles,
        "named": named,
        "may_open": request.may(Deed.STEWARD),
        "holders": holders_today(museum_day(request.at)) if named else (),
    }
    return render(request, "people/rights.html", context)
