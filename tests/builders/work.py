"""Builders for mails and pieces of work."""

from datetime import date, datetime
from typing import Any

from lifecycle.records.models import Letter, Message, Person, Work, WorkKind
from tests.builders.core import AT, DAY, make_person


def make_letter(
    *, person: Person | None = None, day: date = DAY, at: datetime = AT, **values: Any
) -> Letter:
    """A letter that is due."""
    return Letter.objects.create(
        person=person or make_person(), day=day, due_at=at, next_try_at=at, **values
    )


def make_message(*, person: Person | None = None, at: datetime = AT, **values: Any) -> Message:
    """An immediate mail that is due."""
    values.setdefault("key", "incident/IN-0001/act-now")
    values.setdefault("subject", "Act now: HCM.1911.2.7, The Rain Atlas")
    values.setdefault("body", "Something was seen in the gallery.")
    return Message.objects.create(
        person=person or make_person(), due_at=at, next_try_at=at, **values
    )


def make_work(*, key: str = "check/2026-06-02", at: datetime = AT, **values: Any) -> Work:
    """A piece of work that waits."""
    return Work.objects.create(kind=WorkKind.CHECK_RECORDS, key=key, asked_at=at, **values)
