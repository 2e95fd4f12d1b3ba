"""The library's admin pages, for the steward alone and for reading alone."""

from typing import Any

from django.contrib.admin.sites import AdminSite
from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect
from django.utils.timezone import now

from lifecycle.process.rights import Deed, may
from lifecycle.queries.rights import museum_day, person_facts
from lifecycle.queries.second_factor import at_the_door
from lifecycle.records.admin import put_every_table_into
from lifecycle.records.models import Account

READING = frozenset({"GET", "HEAD", "OPTIONS"})


class ReadingRoom(AdminSite):
    """Admin pages that answer questions and take no orders."""

    site_header = "Showrest: every table, to be read"
    site_title = "Showrest tables"
    index_title = "Tables and their histories"
    enable_nav_sidebar = False
    site_url = "/"

    def has_permission(self, request: HttpRequest) -> bool:
        """Whether the person is steward today."""
        account = request.user
        if not isinstance(account, Account):
            return False
        at = now()
        today = museum_day(at)
        here = at_the_door(account, today)
        if here is None:
            return False
        facts = person_facts(here.person, at, today=today)
        by = here.set_up_by(facts, account)
        return may(facts, Deed.STEWARD) and (by is None or by >= today)

    def admin_view(self, view: Any, cacheable: bool = False) -> Any:
        """Let nothing but reading through, whatever the page behind would do with it."""
        inner = super().admin_view(view, cacheable)

        def only_reading(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
            if request.method not in READING and not request.path.endswith("/logout/"):
                raise PermissionDenied("Tables are read here; they are kept in the pages.")
            answer: HttpResponseBase = inner(request, *args, **kwargs)
            return answer

        return only_reading

    def login(self, request: HttpRequest, extra_context: Any = None) -> HttpResponse:
        """Send strangers to our own door and refuse everybody who is not steward."""
        if request.user.is_authenticated and not self.has_permission(request):
            raise PermissionDenied("Only the records steward reads the tables.")
        return redirect_to_login(request.GET.get("next", request.path), "sign-in")

    def logout(self, request: HttpRequest, extra_context: Any = None) -> Any:
        """Sign out on our own page."""
        return redirect("sign-out")

    def password_change(self, request: HttpRequest, extra_context: Any = None) -> Any:
        """Change the password on our own page."""
        return redirect("account_change_password")


room = ReadingRoom(name="admin")
put_every_table_into(room)
