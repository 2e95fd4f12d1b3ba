"""Before a museum has begun: one page for its beginning, and every other address leads there."""

from collections.abc import Callable
from typing import Final

from django.conf import settings
from django.contrib.auth import SESSION_KEY
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect
from django.urls import reverse

from lifecycle.queries.beginning import has_begun

#: What answers all the same: a monitor asks for health, pages ask for their looks.
OPEN: Final = ("health", "theme", "keys", "beginning")


class EmptyHouseMiddleware:
    """Leads strangers to the beginning; who is signed in proves that there is a museum."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        if SESSION_KEY in request.session or self._is_open(request.path) or has_begun():
            return self.get_response(request)
        if request.method in {"GET", "HEAD"}:
            return redirect("beginning")
        return HttpResponse(
            "This museum has not begun yet: open its first page.",
            status=403,
            content_type="text/plain; charset=utf-8",
        )

    def _is_open(self, path: str) -> bool:
        static = f"/{settings.STATIC_URL.lstrip('/')}"
        return path.startswith(static) or path in {reverse(name) for name in OPEN}
