"""Day or gallery light on the screen: remembered in a cookie, so that no page flashes white."""

from typing import Final

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_GET, require_POST

COOKIE: Final = "theme"
THEMES: Final = ("auto", "day", "gallery")
A_YEAR: Final = 365 * 24 * 60 * 60


def chosen_theme(request: HttpRequest | None) -> str:
    """Return the theme this device was set to; 'auto' follows the device's own wish."""
    wished = request.COOKIES.get(COOKIE, "auto") if request else "auto"
    return wished if wished in THEMES else "auto"


@require_POST
def set_theme(request: HttpRequest) -> HttpResponse:
    """Remember the theme and go back to the page one came from."""
    back = request.POST.get("back", "/")
    if not url_has_allowed_host_and_scheme(back, allowed_hosts={request.get_host()}):
        back = "/"
    answer = redirect(back)
    theme = request.POST.get("theme", "")
    if theme in THEMES:
        answer.set_cookie(
            COOKIE,
            theme,
            max_age=A_YEAR,
            samesite="Lax",
            httponly=False,
            secure=request.is_secure(),
        )
    return answer


@require_GET
def keys(request: HttpRequest) -> HttpResponse:
    """List the shortcut keys; the same list opens with '?' where scripts run."""
    return render(request, "look/keys.html")
