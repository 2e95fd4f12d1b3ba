"""Say in words that an upload is too big, before anything of it is kept."""

from collections.abc import Callable

from django.conf import settings
from django.core.exceptions import RequestDataTooBig
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

MEGABYTE = 1024 * 1024


class BigUploadMiddleware:
    """Answer a request larger than ``MAX_UPLOAD_MB`` with our own 413 page."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        length = request.META.get("CONTENT_LENGTH") or "0"
        if length.isdigit() and int(length) > settings.MAX_UPLOAD_MB * MEGABYTE:
            return too_big(request)
        return self.get_response(request)


def too_big(request: HttpRequest) -> HttpResponse:
    """Return the 413 page, which names the limit and what to do."""
    return render(request, "413.html", {"limit_mb": settings.MAX_UPLOAD_MB}, status=413)


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Return 413 for a form that is too long, the 400 page for any other bad request."""
    if isinstance(exception, RequestDataTooBig):
        return too_big(request)
    return render(request, "400.html", status=400)
