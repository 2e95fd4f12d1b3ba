"""The main pages: their words, routes, letters and who meets them.

Navigation, the shortcut list and ``manage.py labels`` all read this one table.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from django.urls import NoReverseMatch, reverse

from lifecycle.process.stages import Role

EVERYONE: Final = frozenset(Role)
INSIDE: Final = EVERYONE - {Role.COURIER, Role.LENDER}
OFFICE: Final = INSIDE - {Role.ATTENDANT}


@dataclass(frozen=True, slots=True)
class MainPage:
    """One word of the navigation."""

    label: str
    route: str
    letter: str
    roles: frozenset[Role]
    #: Shown only once the museum has such a record; "" for pages that are always there.
    used: str = ""
    #: Beginnings of other paths that belong under this word.
    under: tuple[str, ...] = ()


MAIN_PAGES: Final = (
    MainPage("Today", "today", "t", EVERYONE),
    MainPage("Exhibitions", "exhibitions", "e", EVERYONE, under=("/showings/",)),
    MainPage("Objects", "objects", "o", EVERYONE),
    MainPage("Places", "places", "p", INSIDE),
    MainPage("Calendar", "calendar", "c", INSIDE),
    MainPage("Light", "light", "l", INSIDE, used="light"),
    MainPage("Papers", "papers", "a", INSIDE),
    MainPage(
        "Loans",
        "loans",
        "n",
        frozenset({Role.REGISTRAR, Role.HEAD_OF_COLLECTIONS, Role.CONSERVATOR, Role.CURATOR}),
        used="loans",
    ),
    MainPage("House rules", "house-rules", "h", OFFICE),
    MainPage(
        "Steward",
        "steward",
        "s",
        frozenset({Role.STEWARD}),
        under=("/people/", "/vocabularies/"),
    ),
)

#: Keys that are no page: what one presses, what it does.
OTHER_KEYS: Final = (
    ("/", "Go to the search box"),
    ("?", "Show this list"),
)


@dataclass(frozen=True, slots=True)
class NavigationWord:
    """A main page as it stands in one person's header."""

    label: str
    href: str
    letter: str
    is_here: bool


def navigation_for(
    roles: Iterable[Role], *, used: frozenset[str], path: str
) -> tuple[NavigationWord, ...]:
    """Return the words of the navigation for these roles, the page one is on marked."""
    held = frozenset(roles)
    words = []
    for page in MAIN_PAGES:
        if not held & page.roles or (page.used and page.used not in used):
            continue
        try:
            href = reverse(page.route)
        except NoReverseMatch:
            continue
        starts = (href, *page.under) if href != "/" else page.under
        is_here = path == href or any(path.startswith(start) for start in starts)
        words.append(NavigationWord(page.label, href, page.letter, is_here))
    return tuple(words)
