"""One thing on record that may explain a change, and the span in which it is looked for."""

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Q


@dataclass(frozen=True, slots=True, kw_only=True)
class Happening:
    """One thing on record. ``kind`` groups them; ``what`` says it in words."""

    at: datetime
    kind: str
    what: str


def within(field: str, since: datetime | None, until: datetime) -> Q:
    """After ``since`` (None: from the beginning), up to and with ``until``."""
    span = Q(**{f"{field}__lte": until})
    return span & Q(**{f"{field}__gt": since}) if since is not None else span
