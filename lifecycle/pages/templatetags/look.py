"""Dates with their distance, numbers with their unit, marks, and the frame of a page."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any, Final
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from django import forms, template
from django.db import DatabaseError
from django.http import HttpRequest
from django.template import Context
from django.urls import NoReverseMatch, reverse
from django.utils import timezone
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

from lifecycle.pages.navigation import OTHER_KEYS, NavigationWord, navigation_for
from lifecycle.pages.theme import chosen_theme
from lifecycle.process.days import day_words, in_hand_words
from lifecycle.process.stages import Role
from lifecycle.queries.frame import House, house
from lifecycle.records.models import Person

register = template.Library()

NBSP: Final = "\u00a0"

#: Shapes are drawn in a 16 x 16 box in the colour of the text around them.
_SHAPES: Final = {
    "open": '<circle cx="8" cy="8" r="6" fill="none" stroke="currentColor" stroke-width="2"/>',
    "half": '<circle cx="8" cy="8" r="6" fill="none" stroke="currentColor" stroke-width="2"/>'
    '<path d="M8 2a6 6 0 0 1 0 12z" fill="currentColor"/>',
    "full": '<circle cx="8" cy="8" r="7" fill="currentColor"/>',
    "clock": '<circle cx="8" cy="8" r="6" fill="none" stroke="currentColor" stroke-width="2"/>'
    '<path d="M8 4v4.5l3 2" fill="none" stroke="currentColor" stroke-width="2"/>',
    "triangle": '<path d="M8 1.5 15 14.5H1z" fill="none" stroke="currentColor" stroke-width="2"'
    ' stroke-linejoin="round"/><path d="M8 6v5.5" stroke="currentColor" stroke-width="2"/>',
    "dash": '<path d="M3 8h10" fill="none" stroke="currentColor" stroke-width="2"/>',
    "crossed": '<circle cx="8" cy="8" r="6" fill="none" stroke="currentColor" stroke-width="2"/>'
    '<path d="M3.5 12.5l9-9" stroke="currentColor" stroke-width="2"/>',
    "square": '<rect x="1.5" y="1.5" width="13" height="13" fill="currentColor"/>',
}

#: State → (shape, tint, word). A state is said by shape, word and tint, in this order.
MARKS: Final = {
    "open": ("open", "", "open"),
    "half": ("half", "", "half way"),
    "full": ("full", "done", "done"),
    "triangle": ("triangle", "attend", "attention"),
    "square": ("square", "stop", "stopped"),
    "on_course": ("open", "", "on course"),
    "soon": ("half", "attend", "soon"),
    "late": ("clock", "stop", "late"),
    "stopped": ("square", "stop", "stopped"),
    "not_needed": ("dash", "", "not needed"),
    "to_do": ("open", "", "to do"),
    "with_someone": ("half", "attend", "with someone"),
    "done": ("full", "done", "done"),
    "waived": ("crossed", "", "waived"),
    "missing": ("triangle", "attend", "missing"),
    "hazard": ("triangle", "attend", "hazard"),
    "held": ("square", "stop", "held"),
    "resting": ("half", "", "resting"),
    "go": ("full", "done", "go to assessment"),
    "booked": ("half", "attend", "already booked"),
    "over_account": ("half", "attend", "more light than the account has"),
    "facsimile_only": ("square", "stop", "facsimile only"),
    "not_found": ("triangle", "attend", "not found"),
    "twice": ("dash", "", "asked for already"),
    "unclear": ("triangle", "attend", "not clear"),
}


def _today(context: Context) -> date | None:
    """The day the page was asked for, in the zone of the page."""
    request = context.get("request")
    moment = getattr(request, "at", None) or context.get("at")
    if isinstance(moment, datetime):
        return timezone.localtime(moment).date()
    return moment if isinstance(moment, date) else None


def distance_words(day: date, today: date) -> str:
    """Say how far a day is.

    >>> distance_words(date(2026, 12, 14), date(2026, 11, 25))
    'in 19 days'
    >>> distance_words(date(2026, 11, 24), date(2026, 11, 25))
    'yesterday'
    >>> distance_words(date(2031, 3, 7), date(2026, 11, 25))
    'in 4 years and 3 months'
    """
    days = (day - today).days
    near = {0: "today", 1: "tomorrow", -1: "yesterday"}
    if days in near:
        return near[days]
    far = abs(days)
    if far < 120:
        span = f"{far} days"
    else:
        first, last = (today, day) if days > 0 else (day, today)
        months = (last.year - first.year) * 12 + last.month - first.month
        months -= last.day < first.day
        years, rest = divmod(months, 12)
        said = [f"{years} year{'s' if years != 1 else ''}"] if years else []
        if rest:
            said.append(f"{rest} month{'s' if rest != 1 else ''}")
        span = " and ".join(said)
    return f"in {span}" if days > 0 else f"{span} ago"


@register.simple_tag(takes_context=True)
def when(context: Context, moment: date | datetime | None, empty: str = "not set") -> str:
    """Write a day with its distance from the day of the page: 'Mon 14 Dec, in 19 days'."""
    if moment is None or moment == "":
        return format_html('<span class="quiet">{}</span>', empty)
    day = timezone.localtime(moment).date() if isinstance(moment, datetime) else moment
    today = _today(context)
    words = day_words(day, today).replace(" ", NBSP)
    if today is None:
        return format_html('<time datetime="{}">{}</time>', day.isoformat(), words)
    return format_html(
        '<time datetime="{}">{}</time>, {}', day.isoformat(), words, distance_words(day, today)
    )


@register.filter
def day(value: date | datetime | None) -> str:
    """Write a day with its year and no distance, for tables of the past."""
    if not value:
        return ""
    plain = timezone.localtime(value).date() if isinstance(value, datetime) else value
    return format_html(
        '<time datetime="{}">{}</time>', plain.isoformat(), day_words(plain).replace(" ", NBSP)
    )


@register.filter
def instant(value: datetime | None) -> str:
    """Write a moment in the museum's zone: 'Mon 14 Dec 2026, 10:42'."""
    if not value:
        return ""
    local = timezone.localtime(value)
    words = f"{day_words(local.date())}, {local:%H:%M}".replace(" ", NBSP)
    return format_html('<time datetime="{}">{}</time>', local.isoformat(), words)


#: Units that are words, where there is one of it.
ONE_OF = {
    "days": "day",
    "hours": "hour",
    "minutes": "minute",
    "months": "month",
    "weeks": "week",
    "working days": "working day",
    "years": "year",
}


def number_words(value: float | Decimal | None, unit: str = "") -> str:
    """Write a number with thousands parted and its unit.

    >>> number_words(61968, "lx·h").replace(NBSP, " ")
    '61,968 lx·h'
    >>> number_words(Decimal("42.50"), "mm").replace(NBSP, " ")
    '42.5 mm'
    >>> number_words(100, "°")
    '100°'
    >>> number_words(1, "days").replace(NBSP, " ")
    '1 day'
    """
    if value is None:
        return ""
    if value == 1:
        unit = ONE_OF.get(unit, unit)
    plain = f"{value:,}" if isinstance(value, int) else f"{value:,.3f}".rstrip("0").rstrip(".")
    # A degree of angle stands at its figure; every other unit keeps its distance.
    between = "" if unit == "°" else NBSP
    return f"{plain}{between}{unit}" if unit else plain


@register.filter(name="number")
def number_filter(value: Any, unit: str = "") -> str:
    """``{{ dose|number:"lx·h" }}``."""
    if value is None or value == "":
        return ""
    return format_html('<span class="number">{}</span>', number_words(value, unit))


@register.simple_tag
def number(value: Any, unit: str = "") -> str:
    """``{% number dose "lx·h" %}``."""
    return number_filter(value, unit)


@register.filter
def faults(form: forms.BaseForm) -> int:
    """How many things are said against what was sent: a field may have several."""
    return sum(len(said) for said in form.errors.values())


@register.filter
def in_hand(days: int | None) -> str:
    """Days in hand in words: '79 days in hand', 'planned for 5 days more than its light allows'."""
    return "" if days is None else in_hand_words(days)


@register.filter
def object_number(value: Any) -> str:
    """Write an object number in the face that keeps 1, l and I apart."""
    if not value:
        return ""
    said = getattr(value, "object_number", value)
    return format_html('<span class="objno">{}</span>', said)


@register.filter
def main_title(title: str) -> str:
    """Leave out a subtitle, where a list names the same exhibition in every row.

    >>> main_title("Rain by Noon: three centuries of watching the weather")
    'Rain by Noon'
    """
    return title.partition(":")[0].strip()


@register.filter
def short_code(value: Any) -> str:
    """Write a printed short code (or the code of a record) in the face of numbers."""
    if not value:
        return ""
    return format_html('<span class="objno">{}</span>', getattr(value, "code", value))


@register.simple_tag
def shape(name: str) -> SafeString:
    """Draw one of our shapes, without a word; only beside a word that says the same."""
    body = _SHAPES[MARKS[name][0] if name in MARKS else name]
    box = 'class="shape" viewBox="0 0 16 16" width="16" height="16"'
    return mark_safe(  # noqa: S308 (our own drawing, no text of anybody's)
        f'<svg {box} aria-hidden="true" focusable="false">{body}</svg>'
    )


@register.filter
def tint(state: str) -> str:
    """Name the tint of a state, for a mark drawn without its word: ``{{ state|tint }}``."""
    return MARKS[state][1] if state in MARKS else ""


@register.simple_tag
def mark(state: str, word: str = "", tint: str = "") -> str:
    """Draw the mark of a state with its word: ``{% mark "late" %}``.

    An unknown state is drawn as an open ring with the word itself, never left out.
    """
    drawn, own_tint, own_word = MARKS.get(str(state), ("open", "", str(state).replace("_", " ")))
    return format_html(
        '<span class="mark {}">{}<span>{}</span></span>',
        tint or own_tint,
        shape(drawn),
        word or own_word,
    )


@register.filter
def get_item(mapping: Any, key: Any) -> Any:
    """Look a key up in a mapping; nothing when it is not there."""
    return mapping.get(key) if hasattr(mapping, "get") else None


@dataclass(frozen=True, slots=True)
class Frame:
    """What header and footer say on one page."""

    house: str
    is_demo: bool
    person: Person | None
    roles: tuple[Role, ...]
    role_words: str
    words: tuple[NavigationWord, ...]
    chosen: str
    kept_dark: bool
    asked: str
    find: str
    own_page: str
    sign_out: str
    theme_url: str
    keys_url: str
    help_url: str
    other_keys: tuple[tuple[str, str], ...] = OTHER_KEYS

    @property
    def theme(self) -> str:
        return "gallery" if self.kept_dark else self.chosen

    @property
    def scheme(self) -> str:
        return {"day": "light", "gallery": "dark"}.get(self.theme, "light dark")

    @property
    def other_theme(self) -> str:
        return "day" if self.chosen == "gallery" else "gallery"

    @property
    def other_theme_word(self) -> str:
        return "Day light" if self.chosen == "gallery" else "Gallery light"


@register.simple_tag(takes_context=True)
def frame(context: Context) -> Frame:
    """Gather the frame of the page; error pages without a request or a database get a bare one."""
    request: HttpRequest | None = context.get("request")
    person: Person | None = getattr(request, "person", None)
    try:
        ours = house()
    except DatabaseError:
        ours = House(name="Showrest", is_demo=False, zone="UTC", used=frozenset())
    facts = getattr(request, "facts", None)
    roles = facts.roles if facts else frozenset()
    _use_zone((person.zone if person else "") or ours.zone)
    path = request.path if request else ""
    return Frame(
        house=ours.name,
        is_demo=ours.is_demo,
        person=person,
        roles=tuple(role for role in Role if role in roles),
        role_words=", ".join(sorted(role.label for role in roles)),
        words=navigation_for(roles, used=ours.used, path=path) if person else (),
        chosen=chosen_theme(request),
        kept_dark=getattr(request, "kept_dark", False),
        asked=request.GET.get("q", "") if request and path == _url("find") else "",
        find=_url("find"),
        own_page=_url("me"),
        sign_out=_url("sign-out"),
        theme_url=_url("theme") if request else "",
        keys_url=_url("keys") if request else "",
        help_url=_url("help") if request else "",
    )


def _use_zone(name: str) -> None:
    """Dates on the page stand in the person's zone; it is the museum's unless changed."""
    try:
        timezone.activate(ZoneInfo(name))
    except (ZoneInfoNotFoundError, ValueError):
        timezone.activate(ZoneInfo("UTC"))


def _url(route: str) -> str:
    try:
        return reverse(route)
    except NoReverseMatch:
        return ""
