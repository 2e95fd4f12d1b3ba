"""Is every part of the machine at work? Computed from rows, and one ping with a limit."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

import redis
from django.conf import settings
from django.db import DatabaseError, connection

from lifecycle.process.days import day_words
from lifecycle.queries.letters import perhaps_not_sent
from lifecycle.records.models.work import Heartbeat, Letter, LifeSign, MailState, Message
from lifecycle.records.triggers import missing_triggers

PING_LIMIT_S: Final = 1.0
# Three missed signs of 15 and 20 seconds each.
SILENT_AFTER: Final = {
    LifeSign.WORKER: timedelta(seconds=60),
    LifeSign.BEAT: timedelta(seconds=75),
}
MAIL_LATE_AFTER: Final = timedelta(minutes=15)


@dataclass(frozen=True, slots=True)
class Part:
    """One part of the machine: whether it is well, and a sentence about it."""

    name: str
    well: bool
    text: str


def health(*, at: datetime) -> list[Part]:
    """Every part in the order in which one would look for a fault."""
    web = Part("web", well=True, text="This page answers.")
    try:
        return [web, _database(), _triggers(), _broker(), *_signs(at), _mail(at)]
    except DatabaseError as trouble:
        return [web, Part("database", well=False, text=f"The database does not answer: {trouble}")]


def _database() -> Part:
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1")
        cursor.fetchone()
    return Part("database", well=True, text=f"{connection.display_name} answers.")


def _triggers() -> Part:
    missing = missing_triggers(connection)
    if missing:
        return Part(
            "signed records",
            well=False,
            text=f"{len(missing)} guards of signed and once-written rows are missing in the "
            f"database; run 'manage.py migrate'. The first is {missing[0]}.",
        )
    return Part("signed records", well=True, text="The database guards every signed record.")


def _broker() -> Part:
    url = settings.CELERY_BROKER_URL
    if url.startswith("filesystem"):
        return Part("broker", well=True, text="Messages go through files in the data folder.")
    client = redis.Redis.from_url(
        url.replace("redis+socket://", "unix://", 1),
        socket_timeout=PING_LIMIT_S,
        socket_connect_timeout=PING_LIMIT_S,
        retry=None,
    )
    try:
        client.ping()
    except (redis.RedisError, OSError):
        text = "The broker does not answer. Pages work; letters and background work wait for it."
        return Part("broker", well=False, text=text)
    finally:
        client.close()
    return Part("broker", well=True, text="The broker answers.")


def _signs(at: datetime) -> Iterator[Part]:
    newest: dict[str, datetime] = {}
    for beat in Heartbeat.objects.order_by("seen_at"):
        newest[beat.part] = beat.seen_at
    for part, limit in SILENT_AFTER.items():
        seen = newest.get(part)
        name = "worker" if part == LifeSign.WORKER else "schedule"
        if seen is None:
            yield Part(name, well=False, text=f"The {name} has never been seen.")
        elif at - seen > limit:
            since = f"{day_words(seen)}, {seen:%H:%M} UTC"
            yield Part(name, well=False, text=f"The {name} was last seen on {since}.")
        else:
            ago = max(round((at - seen).total_seconds()), 0)
            yield Part(name, well=True, text=f"The {name} was seen {ago} seconds ago.")


def _mail(at: datetime) -> Part:
    lost = refused = late = 0
    for kind in (Letter, Message):
        rows = kind.objects.all()
        lost += rows.filter(perhaps_not_sent(at)).count()
        refused += rows.filter(state=MailState.REFUSED).count()
        late += rows.filter(state=MailState.DUE, due_at__lt=at - MAIL_LATE_AFTER).count()
    if lost or refused or late:
        said = [f"{lost} perhaps not sent"] * bool(lost) + [f"{refused} refused"] * bool(refused)
        said += [f"{late} waiting for more than 15 minutes"] * bool(late)
        text = f"Mails: {', '.join(said)}. The steward's page lists them."
        return Part("mail", well=False, text=text)
    last = Heartbeat.objects.filter(part=LifeSign.MAIL).order_by("-seen_at").first()
    way = "written to files" if settings.MAIL_TO_FILES else f"handed to {settings.EMAIL_HOST}"
    when = (
        f"; the last on {day_words(last.seen_at)}, {last.seen_at:%H:%M} UTC"
        if last
        else "; none so far"
    )
    return Part("mail", well=True, text=f"Mails are {way}{when}.")
