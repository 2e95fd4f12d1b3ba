"""Every time somebody allowed more light than the rules; it stays on account and statement."""

from dataclasses import dataclass
from datetime import datetime
from typing import Final
from uuid import UUID

from lifecycle.process.waivers import WAIVABLE
from lifecycle.records.models import MuseumObject, Person, RequestAnswer, Waiver

OVERRIDES: Final = sorted(code for code, rule in WAIVABLE.items() if rule.override)
"""Codes of the gates that go above the rules: all of them are about light."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Overridden:
    """A yes above the account, or a gate of light waived: when, who, in which showing, and why."""

    at: datetime
    by: Person
    role: str
    request_no: str
    exhibition: str
    showing_uid: UUID
    what: str
    reason: str


def overrides_on(thing: MuseumObject, at: datetime) -> list[Overridden]:
    """Return every override of light for an object, ended ones too; two queries."""
    waivers = Waiver.objects.filter(showing__museum_object=thing, code__in=OVERRIDES, at__lte=at)
    found = [
        Overridden(
            at=row.at,
            by=row.by,
            role=row.get_role_display(),
            request_no=row.showing.request_no,
            exhibition=row.showing.exhibition.title,
            showing_uid=row.showing.uid,
            what=row.text,
            reason=row.reason,
        )
        for row in waivers.select_related("by", "showing__exhibition")
    ]
    answers = RequestAnswer.objects.filter(
        showing__museum_object=thing, override_by__isnull=False, at__lte=at
    )
    found += [
        Overridden(
            at=row.at,
            by=row.override_by,
            role=row.get_role_display(),
            request_no=row.showing.request_no,
            exhibition=row.showing.exhibition.title,
            showing_uid=row.showing.uid,
            what=f"The request was answered: {row.get_answer_display()}.",
            reason=row.override_reason,
        )
        for row in answers.select_related("override_by", "showing__exhibition")
        if row.override_by is not None
    ]
    return sorted(found, key=lambda one: one.at)
