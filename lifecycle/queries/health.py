"""Is every part of the machine at work? Computed from rows, and one ping with a limit."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

import redis
from django.conf import settings
from django.db import DatabaseError, connection

from lifecycle.planning.counting import counted
from lifecycle.process.days import day_words
from lifecycle.queries.backups import LATE_AFTER, BackupLine, last_backups
from lifecycle.queries.letters import perhaps_not_sent
from lifecycle.records.models.people import Museum
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
        parts = [web, _database(), _triggers(), _broker(), *_signs(at), _mail(at)]
        return [*parts, _backup(at)]
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
        are = "is" if len(missing) == 1 else "are"
        return Part(
            "signed records",
            well=False,
            text=f"{counted(len(missing), 'guard')} of signed and once-written rows {are} missing "
            f"in the database; run 'manage.py migrate'. The first is {missing[0]}.",
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


def _backup(at: datetime) -> Part:
    """The newest whole backup: how old it is, and whether restoring it has proven it."""
    lines = last_backups()
    made = next((line for line in lines if line.folder), None)
    if made is None:
        return _no_backup(lines, at)
    hours = max(int((at - made.taken_at).total_seconds() // 3600), 0)
    age = f"The last backup is {hours} hour{'' if hours == 1 else 's'} old"
    if at - made.taken_at > LATE_AFTER:
        return Part("backup", well=False, text=f"{age}; one is due every night.")
    if not made.proven:
        text = f"{age}, but not proven. The steward's page says what was found."
        return Part("backup", well=False, text=text)
    newest = lines[0]
    if newest.failed:
        return Part("backup", well=False, text=f"{age}; a later one failed: {newest.doing}")
    return Part("backup", well=True, text=f"{age}, and proven by restoring it.")


def _no_backup(asked: list[BackupLine], at: datetime) -> Part:
    if asked and asked[0].failed:
        return Part("backup", well=False, text=f"The backup failed: {asked[0].doing}")
    if asked and at - asked[-1].asked_at > LATE_AFTER:
        since = f"{day_words(asked[-1].asked_at)}, {asked[-1].asked_at:%H:%M} UTC"
        text = f"No backup was made, though asked for since {since}."
        return Part("backup", well=False, text=text)
    if Museum.objects.filter(is_demo=True).exists():
        text = "The demo is not backed up by itself; the steward can have a backup made."
        return Part("backup", well=True, text=text)
    return Part("backup", well=True, text="No backup has been made yet; one is due every night.")
