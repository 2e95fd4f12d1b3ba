"""Whose morning letter is due, and which mails need the steward."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import Q

from lifecycle.process.days import day_words
from lifecycle.queries.clock import museum_zone, zone_named, zone_of
from lifecycle.records.models.people import Museum, Person
from lifecycle.records.models.work import Letter, MailState, Message, Work, WorkState

# A hand-over takes seconds; a claim this old without an answer has lost its worker.
ANSWER_EXPECTED_WITHIN = timedelta(minutes=5)


@dataclass(frozen=True, slots=True)
class LetterDue:
    """A person whose letter is due, and the day it is for in their zone."""

    person_id: int
    day: date


@dataclass(frozen=True, slots=True)
class MailLine:
    """One mail on the steward's page."""

    uid: str
    kind: str
    person: str
    about: str
    state: str
    attempts: int
    at: datetime
    answer: str
    may_decide: bool


def letters_due(*, at: datetime, whatever_hour: bool = False) -> list[LetterDue]:
    """Everyone whose letter hour has come on this day of their zone and who has no letter yet.

    Computed from rows at each tick: a machine that was off catches up on the same day. The hour
    is compared on the wall clock; where it does not exist, on the day clocks go forward, the
    letter comes with the next hour that does.
    """
    return list(_due(at, whatever_hour=whatever_hour))


def _due(at: datetime, *, whatever_hour: bool) -> Iterator[LetterDue]:
    ours = museum_zone()
    people = Person.objects.exclude(email="").exclude(letter_hour=None).order_by("pk")
    rows = people.values_list("pk", "letter_hour", "zone", "ends_on")
    recent = Letter.objects.filter(day__gte=at.date() - timedelta(days=2))
    written = set(recent.values_list("person_id", "day"))
    for pk, hour, zone, ends_on in rows:
        here = at.astimezone(zone_named(zone) if zone else ours)
        over = ends_on is not None and ends_on < here.date()
        early = here.hour < (hour or 0) and not whatever_hour
        if not over and not early and (pk, here.date()) not in written:
            yield LetterDue(person_id=pk, day=here.date())


def letter_day_over(letter: Letter, at: datetime) -> bool:
    """Whether the day this letter is for has ended in the person's zone."""
    return at.astimezone(zone_of(letter.person)).date() > letter.day


def perhaps_not_sent(at: datetime) -> Q:
    """Claimed, and no answer came: nobody knows whether the server took it."""
    lost = Q(claimed_at__lte=at - ANSWER_EXPECTED_WITHIN) | ~Q(answer="")
    return Q(state=MailState.CLAIMED) & lost


def is_perhaps_not_sent(mail: Letter | Message, at: datetime) -> bool:
    """The same of one row that was read already."""
    old = mail.claimed_at is not None and mail.claimed_at <= at - ANSWER_EXPECTED_WITHIN
    return mail.state == MailState.CLAIMED and (old or bool(mail.answer))


def state_words(mail: Letter | Message, at: datetime) -> str:
    """A mail's state as the steward reads it: a lost claim is called by what it means."""
    if is_perhaps_not_sent(mail, at):
        return "perhaps not sent"
    if mail.state == MailState.CLAIMED:
        return "being handed over"
    return MailState(mail.state).label


def troubled_mails(*, at: datetime) -> list[MailLine]:
    """Mails that were perhaps not sent, and mails that were refused; oldest first."""
    wanted = perhaps_not_sent(at) | Q(state=MailState.REFUSED)
    lines = [
        *(
            _line(letter, "letter", f"Morning letter of {day_words(letter.day)}", at)
            for letter in Letter.objects.filter(wanted).select_related("person")[:200]
        ),
        *(
            _line(message, "message", message.subject, at)
            for message in Message.objects.filter(wanted).select_related("person")[:200]
        ),
    ]
    return sorted(lines, key=lambda line: (line.at, line.uid))


def _line(mail: Letter | Message, kind: str, about: str, at: datetime) -> MailLine:
    return MailLine(
        uid=str(mail.uid),
        kind=kind,
        person=mail.person.full_name,
        about=about,
        state=state_words(mail, at),
        attempts=mail.attempts,
        at=mail.claimed_at or mail.due_at,
        answer=mail.answer,
        may_decide=True,
    )


@dataclass(frozen=True, slots=True)
class LastMail:
    """One of the newest mails with its text; ``trouble`` when the steward has to decide on it."""

    day: date
    person: str
    state: str
    trouble: bool
    subject: str
    body: str


def last_letters(*, at: datetime, most: int = 50) -> list[LastMail]:
    """The newest letters, so that anyone can see why they were mailed."""
    rows = Letter.objects.select_related("person").order_by("-due_at", "-pk")[:most]
    return [_last(row, row.day, at) for row in rows]


def last_messages(*, at: datetime, most: int = 50) -> list[LastMail]:
    """The newest immediate mails, with the words that say why they came."""
    rows = Message.objects.select_related("person").order_by("-due_at", "-pk")[:most]
    zone = museum_zone()
    return [_last(row, row.due_at.astimezone(zone).date(), at) for row in rows]


def _last(mail: Letter | Message, day: date, at: datetime) -> LastMail:
    lost = is_perhaps_not_sent(mail, at)
    return LastMail(
        day=day,
        person=mail.person.full_name,
        state=state_words(mail, at),
        trouble=lost or mail.state == MailState.REFUSED,
        subject=mail.subject,
        body=mail.body,
    )


def newest_work(*, most: int = 20) -> list[Work]:
    """The newest pieces of background work, those under way first."""
    rows = (
        Work.objects.exclude(state=WorkState.PREPARING)
        .select_related("asked_by", "stop_asked_by")
        .defer("inputs", "results")
    )
    under_way = rows.filter(state__in=(WorkState.WAITING, WorkState.RUNNING))
    ended = rows.exclude(state__in=(WorkState.WAITING, WorkState.RUNNING))
    return [*under_way.order_by("asked_at", "pk"), *ended.order_by("-asked_at", "-pk")[:most]]


def museum_name() -> str:
    """The museum's name; the tool's own before the museum is set up."""
    return Museum.objects.values_list("name", flat=True).first() or "Showrest"
