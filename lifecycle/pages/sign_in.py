"""Signing in: one click as a demo person in the demo, a real account everywhere else."""

from dataclasses import dataclass
from typing import Final
from uuid import UUID

from django.conf import settings
from django.contrib.auth import login, logout
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from lifecycle.exchange.demo_data import demo_password
from lifecycle.process.stages import Role
from lifecycle.queries.people import PersonLine, demo_people
from lifecycle.queries.rights import museum_day
from lifecycle.records.models import Museum

#: What a role does all day, in one line, for the demo's door.
WHAT_THEY_DO: Final = {
    Role.CONSERVATOR: "Examines, treats, sets the conditions of display, watches light and turns.",
    Role.CURATOR: "Asks for objects and faces, gives consent, approves facsimiles and captions.",
    Role.REGISTRAR: "Plans installs and turns, keeps movements, loans and papers, closes showings.",
    Role.MOUNT_MAKER: "Makes mounts and cradles and checks their fit with the object present.",
    Role.PHOTOGRAPHER: "Takes record pictures and the masters that facsimiles are printed from.",
    Role.TECHNICIAN: "Moves, installs and takes down, with a second person.",
    Role.ATTENDANT: "Walks the cases of one gallery and says at once what looks different.",
    Role.EXHIBITION_MANAGER: "Keeps dates and cases, and sees what will not be ready.",
    Role.HEAD_OF_COLLECTIONS: "Approves house rules, consents, waives and overrides by name.",
    Role.STEWARD: "Keeps accounts, vocabularies, letters and the health of the installation.",
    Role.COURIER: "Travels with a loan and countersigns what concerns it.",
    Role.LENDER: "Sees what concerns the objects lent, and nothing else.",
}


@dataclass(frozen=True, slots=True)
class DemoPerson:
    """One button of the demo's door."""

    uid: UUID
    name: str
    role_words: str
    does: str


def _button(line: PersonLine) -> DemoPerson:
    return DemoPerson(
        uid=line.person.uid,
        name=line.person.full_name,
        role_words=line.role_words.capitalize(),
        does=WHAT_THEY_DO[line.roles[0]],
    )


def _next(request: HttpRequest) -> str:
    """Where one wanted to go, if that is a page of ours."""
    wanted = request.POST.get("next") or request.GET.get("next", "")
    ours = url_has_allowed_host_and_scheme(
        wanted, allowed_hosts={request.get_host()}, require_https=request.is_secure()
    )
    return wanted if ours else ""


def _demo() -> Museum | None:
    return Museum.objects.filter(is_demo=True).first()


@require_GET
def sign_in(request: HttpRequest) -> HttpResponse:
    """Offer the demo's people, or go on to the sign-in with an account."""
    museum, wanted = _demo(), _next(request)
    if museum is None:
        answer = redirect("account_login")
        if wanted:
            answer["Location"] += f"?{request.GET.urlencode()}"
        return answer
    people = [_button(line) for line in demo_people(museum_day(timezone.now()))]
    shown = {
        "museum": museum,
        "people": people,
        "next": wanted,
        "password": demo_password(),
    }
    return render(request, "account/sign_in.html", shown)


@require_POST
def sign_in_as(request: HttpRequest, uid: UUID) -> HttpResponse:
    """Sign in as one of the demo's people; there is no such page outside the demo."""
    if _demo() is None:
        raise Http404
    line = next(
        (line for line in demo_people(museum_day(timezone.now())) if line.person.uid == uid), None
    )
    if line is None or line.person.account is None:
        raise Http404
    login(request, line.person.account, backend=settings.AUTHENTICATION_BACKENDS[0])
    return redirect(_next(request) or "today")


@require_http_methods(["GET", "POST"])
def sign_out(request: HttpRequest) -> HttpResponse:
    """Ask, then sign out and return to the door."""
    if request.method == "GET":
        return render(request, "account/logout.html")
    logout(request)
    return redirect("sign-in")


def no_sign_up(request: HttpRequest) -> HttpResponse:
    """Accounts are made by the steward; a page to make one's own does not exist."""
    raise Http404


def not_signed_in(request: HttpRequest) -> HttpResponse:
    """Single sign-on was broken off, or failed."""
    return render(request, "account/provider_failed.html", {"sso": settings.SSO})


@require_GET
def no_password_here(request: HttpRequest) -> HttpResponse:
    """Who came through single sign-on sets no password by themselves: a link from the steward."""
    if not request.user.is_authenticated:
        return redirect("sign-in")
    return render(request, "account/password_set.html")
