"""Whether a link leads this person through a door: ``{% load doors %}``.

A link that ends at a 403 is not shown; the rule is the rights table's, asked once more by the page.
"""

from typing import Any

from django import template
from django.template import Context

from lifecycle.pages.pictures import may_read_scan
from lifecycle.pages.treatment.materials import may_read_materials
from lifecycle.process.rights import NOTHING, Deed, SubjectFacts
from lifecycle.queries.rights import about_exhibition, about_object, about_place, about_showing
from lifecycle.records.models import Document, Exhibition, MuseumObject, Place, Showing

register = template.Library()


def _about(record: Any, at_take_down: bool) -> SubjectFacts:
    if isinstance(record, Showing):
        return about_showing(record, at_take_down=at_take_down)
    if isinstance(record, MuseumObject):
        return about_object(record)
    if isinstance(record, Place):
        return about_place(record)
    if isinstance(record, Exhibition):
        return about_exhibition(record)
    return NOTHING


def _asked_before(request: Any) -> dict[tuple[str, Any, bool], SubjectFacts]:
    """What this page has asked about already."""
    known: dict[tuple[str, Any, bool], SubjectFacts] | None = getattr(request, "doors", None)
    if known is None:
        known = request.doors = {}
    return known


@register.simple_tag(takes_context=True)
def allows(context: Context, deeds: str, record: Any = None, at_take_down: bool = False) -> bool:
    """Say whether the person of this page may do one of ``deeds`` about the record.

    ``{% allows "schedule" showing as may_schedule %}``; several deeds stand side by side, parted
    by blanks. What a record is about is read once a page, however often it is asked.
    """
    request = context["request"]
    known = _asked_before(request)
    key = (type(record).__name__, getattr(record, "pk", None), at_take_down)
    if key not in known:
        known[key] = _about(record, at_take_down)
    return any(request.may(Deed(deed), known[key]) for deed in deeds.split())


@register.simple_tag(takes_context=True)
def opens_materials(context: Context) -> bool:
    """Say whether the person of this page reads what objects were treated with."""
    return may_read_materials(context["request"])


@register.simple_tag(takes_context=True)
def opens_scan(context: Context, scan: Document | None) -> bool:
    """Say whether there is a scan that the person of this page reads."""
    return scan is not None and may_read_scan(context["request"], scan)
