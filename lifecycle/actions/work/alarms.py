"""The short list of things that are mailed at once; everything else waits for the morning letter.

An incident or a look flagged 'act now'; a hard clause of a lender broken; the last permissible day
come; light above the ceiling by half or more; an object missing. The same key never mails twice.
A step done in an emergency without consent is told at once too, by ``treatment/telling.py``.
"""

from collections.abc import Iterable
from datetime import datetime
from uuid import UUID

from django.conf import settings
from django.urls import reverse

from lifecycle.actions.work.messages import tell
from lifecycle.process.cautions import DEFER, CautionFor, cautions_for
from lifecycle.process.stages import Role
from lifecycle.process.words import Hazard
from lifecycle.queries.telling import holders
from lifecycle.records.models import ObjectHazard, Person


def tell_at_once(
    *,
    people: Iterable[Person],
    key: str,
    subject: str,
    body: str,
    why: str,
    page: str,
    uid: UUID,
    at: datetime,
) -> int:
    """Write one mail to each of them, once for its key, with why it came and where it is settled.

    Call it in the transaction that writes what happened. Returns how many have such a mail now;
    who has no address, or whose time here has ended, is passed over.
    """
    text = (
        f"{body.strip()}\n\n"
        f"{settings.SITE_URL}{reverse(page, kwargs={'uid': uid})}\n\n"
        f"You get this at once because {why}. It is not sent again unless it gets worse; until it "
        "is settled it stands in the morning letter.\n"
        "Showrest records and reminds. A conservator decides.\n"
    )
    return sum(
        tell(person=person, key=key, subject=subject, body=text, at=at) is not None
        for person in people
    )


def tell_conservators(
    *, key: str, subject: str, body: str, why: str, page: str, uid: UUID, at: datetime
) -> int:
    """Write to the conservators; to the head of collections where none of them can be reached."""
    for role in (Role.CONSERVATOR, Role.HEAD_OF_COLLECTIONS):
        told = tell_at_once(
            people=holders([role], at),
            key=key,
            subject=subject,
            body=body,
            why=f"you are {role.label} and {why}",
            page=page,
            uid=uid,
            at=at,
        )
        if told:
            return told
    return 0


def hazard_words(object_ids: Iterable[int]) -> str:
    """Return what whoever comes running has to know of these objects; empty when nothing is.

    Hazards ride along with every word about an object.
    """
    rows = ObjectHazard.objects.filter(museum_object__in=list(object_ids), ended_on=None)
    known = {Hazard(code) for code in rows.values_list("hazard", flat=True)}
    lines = [
        f"{one.about}: {one.text}"
        for one in cautions_for(known, CautionFor.MOVE)
        if one.hazard is not None
    ]
    return "\n".join(["", "", *lines, DEFER]) if lines else ""
