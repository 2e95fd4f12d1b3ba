"""Answer an address that holds what no record can hold, before a record is asked for it."""

from collections.abc import Callable

from django.core.exceptions import SuspiciousOperation
from django.http import HttpRequest, HttpResponse

from lifecycle.pages.big_uploads import bad_request


class BadAddressMiddleware:
    """A NUL in an address is our own 400 page: PostgreSQL keeps no such text and would stop."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if "\0" in request.path_info or "%00" in request.META.get("QUERY_STRING", ""):
            return bad_request(request, SuspiciousOperation("A NUL stands in the address."))
        return self.get_response(request)
