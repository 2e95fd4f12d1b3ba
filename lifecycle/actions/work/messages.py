"""Immediate mails: one for each person and key, written with what caused them."""

from datetime import datetime

from lifecycle.actions.work.waking import SEND_MESSAGE, wake_on_commit
from lifecycle.queries.rights import museum_day
from lifecycle.records.models.people import Person
from lifecycle.records.models.work import Message


def tell(*, person: Person, key: str, subject: str, body: str, at: datetime) -> Message | None:
    """Write a mail to one person, once for its key, in the caller's transaction.

    ``key`` names what happened ('incident/IN-0004/act-now'): the same key never mails twice. A
    person without an address, or whose time here has ended, gets none: None.
    """
    if not person.email or (person.ends_on and person.ends_on < museum_day(at)):
        return None
    message, new = Message.objects.get_or_create(
        person=person,
        key=key,
        defaults={
            "subject": " ".join(subject.split())[:300],
            "body": body,
            "due_at": at,
            "next_try_at": at,
        },
    )
    if new:
        wake_on_commit(SEND_MESSAGE, str(message.uid))
    return message
