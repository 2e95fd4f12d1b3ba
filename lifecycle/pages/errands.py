"""From the name of a page to its address; a page that this museum does not have gives none."""

from urllib.parse import quote_plus

from django.urls import NoReverseMatch, reverse

from lifecycle.queries.errands import Errand


def href_of(errand: Errand | None) -> str:
    """Return the address of an errand, or nothing when there is no such page."""
    if errand is None:
        return ""
    return address(errand.url_name, errand.url_kwargs, errand.query)


def address(url_name: str, url_kwargs: dict[str, str], query: str = "") -> str:
    """Return the address for a page name, its record and its question, or nothing."""
    try:
        found = reverse(url_name, kwargs=url_kwargs)
    except NoReverseMatch:
        return ""
    return f"{found}?{quote_plus(query, safe='=&-')}" if query else found
