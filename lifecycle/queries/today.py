"""Today: what one person can do now, most pressing first, why, and the page where it is done.

Computed from rows each time; the number of queries does not grow with the showings.
"""

from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Final

from lifecycle.process.duties import Duty, band_of, duties, in_order
from lifecycle.process.duties.duty import Band
from lifecycle.process.duties.of_objects import (
    advice_to_answer,
    check_to_make,
    material_to_test,
    recall_to_keep,
    signature_to_get,
    standing_to_agree,
)
from lifecycle.process.duties.put_by import Laid, keeps_quiet
from lifecycle.process.facts.showing import ShowingFacts
from lifecycle.process.rights import Deed, PersonFacts, SubjectFacts, may
from lifecycle.process.stages import Role
from lifecycle.queries.clock import museum_zone
from lifecycle.queries.condition.due import awaited_signatures, checks_due, open_advice
from lifecycle.queries.errands import Errand, errand_of
from lifecycle.queries.facts import facts_of, open_showings
from lifecycle.queries.rights import museum_day, person_facts
from lifecycle.queries.treatment.materials import lapses_due, recalls_due
from lifecycle.queries.treatment.standing import AGREEING, waiting_standing_consents
from lifecycle.records.models import (
    ConditionReport,
    Instrument,
    Person,
    Place,
    ProposalVersion,
    PutBy,
)

_RIGHTS: Final = {
    "consent.asked": Deed.CONSENT,
    "consent.writing": Deed.REGISTER,
    "deviation.asked": Deed.CONSENT,
    "light.reading": Deed.READ_LIGHT,
    "look.due": Deed.WALK,
}
"""The right a task takes where seeing the showing is not enough."""

_OBJECT_PAGES: Final = {
    "advice.open": ("condition-advice-answer", "Say how it was dealt with", ""),
    "signature.awaited": ("condition-report", "Open the report", ""),
    "recall.due": ("object-condition-start", "Start the report", "kind=call_back"),
    "material.lapse": ("material", "Open the material", ""),
    "check.due": ("object-condition-start", "Start the report", "kind=call_back"),
    "standing.agree": ("standing-consents", "Read and decide", ""),
}
"""Pages of tasks beside the showings: address, word, and what comes with the address."""

NOTICE_DAYS: Final = {"calibration": 30, "account": 14}


@dataclass(frozen=True, slots=True, kw_only=True)
class TodayLine:
    """One task of one person; ``url_name``, ``url_kwargs``, ``query`` say where it is done.

    ``laid`` when the person has put it by and it keeps quiet today.
    """

    key: str
    text: str
    why: str
    due_on: date | None
    band: Band
    role: Role
    url_name: str
    url_kwargs: dict[str, str]
    query: str = ""
    word: str = "Open"
    object_number: str = ""
    title: str = ""
    exhibition: str = ""
    person_named: bool = False
    days_in_hand: int | None = None
    laid: Laid | None = None
    asked_on: date | None = None


@dataclass(frozen=True, slots=True)
class Draft:
    """Something begun and not signed or sent: a report, a proposal."""

    text: str
    begun_at: datetime
    url_name: str
    uid: str


def today_of(person: Person, at: datetime) -> list[TodayLine]:
    """Return everything this person can act on, most pressing first."""
    who = person_facts(person, at)
    today = museum_day(at)
    roles = {post.role for post in who.posts}
    lines: list[TodayLine] = []
    if roles - {Role.STEWARD}:
        lines += _of_showings(who, at, today)
    if Role.STEWARD in roles:
        lines += _of_the_steward(today)
    return _with_what_was_put_by(lines, person, today) if lines else lines


def _with_what_was_put_by(lines: list[TodayLine], person: Person, today: date) -> list[TodayLine]:
    newest: dict[str, PutBy] = {}
    for row in PutBy.objects.filter(person=person, key__in=[one.key for one in lines]):
        if row.key not in newest or newest[row.key].pk < row.pk:
            newest[row.key] = row
    found = []
    for line in lines:
        said = newest.get(line.key)
        laid = None if said is None or said.back else Laid(Band(said.band), said.until)
        quiet = laid is not None and keeps_quiet(laid, line.band, today)
        found.append(replace(line, laid=laid) if quiet else line)
    return found


def _of_showings(who: PersonFacts, at: datetime, today: date) -> list[TodayLine]:
    rows = list(
        open_showings().values_list(
            "pk", "exhibition_id", "museum_object_id", "place_id", "museum_object__current_location"
        )
    )
    all_facts = facts_of([row[0] for row in rows], at)
    parents: dict[int, int | None] = dict(Place.objects.values_list("pk", "parent_id"))
    about = {
        pk: SubjectFacts(
            exhibition_id=exhibition_id,
            object_id=object_id,
            showing_id=pk,
            place_ids=_chain(place_id, parents) | _chain(here_id, parents),
            job_person_ids=all_facts[pk].job_person_ids,
        )
        for pk, exhibition_id, object_id, place_id, here_id in rows
    }
    mine = [
        duty
        for facts in all_facts.values()
        for duty in duties(facts)
        if is_for(duty, who, about[facts.showing_id])
    ]
    of_objects = _of_objects(who, today)
    ordered = in_order([*mine, *of_objects], today)
    return [
        _line(duty, _errand(duty, all_facts.get(duty.showing_id)), who, today) for duty in ordered
    ]


def _of_objects(who: PersonFacts, today: date) -> list[Duty]:
    """What signed reports and standing consents wait for; ten queries at most."""
    roles = {post.role for post in who.posts if not post.deputy}
    zone = museum_zone()
    found: list[Duty] = []
    if Role.CONSERVATOR in roles:
        found += [advice_to_answer(advice) for advice in open_advice(zone)]
        found += [check_to_make(check) for check in checks_due(today, zone)]
        found += [recall_to_keep(recall) for recall in recalls_due(today, zone)]
        found += [material_to_test(lapse) for lapse in lapses_due(today)]
    if Role.REGISTRAR in roles:
        found += [signature_to_get(awaited) for awaited in awaited_signatures(today, zone)]
    deciding = roles & set(AGREEING)
    for one in waiting_standing_consents(today, zone) if deciding else ():
        found += [standing_to_agree(one, role) for role in sorted(deciding & one.waits_for)]
    return found


def _errand(duty: Duty, facts: ShowingFacts | None) -> Errand:
    """The page where a duty is settled."""
    if facts is None:
        url_name, word, query = _OBJECT_PAGES[duty.code]
        return Errand(url_name, word, duty.subject_uid, query)
    errand = errand_of(duty.code, duty.about, facts, subject=duty.subject_uid)
    return errand or Errand("showing", "Open the showing", facts.uid)


def _chain(place_id: int | None, parents: dict[int, int | None]) -> frozenset[int]:
    chain: set[int] = set()
    while place_id is not None and place_id not in chain:
        chain.add(place_id)
        place_id = parents.get(place_id)
    return frozenset(chain)


def is_for(duty: Duty, who: PersonFacts, about: SubjectFacts) -> bool:
    """Whether a duty is this person's: named for it, or holding its role where nobody is named."""
    if duty.people and who.person_id not in duty.people:
        return _is_deputy_for(duty, who, about)
    deed = _RIGHTS.get(duty.code, Deed.SEE_SHOWING)
    if duty.people:
        return may(who, deed, about)
    return any(
        may(who, deed, about, role) and _own_enough(role, who, about)
        for role in {duty.role, *duty.also}
    )


def _own_enough(role: Role, who: PersonFacts, about: SubjectFacts) -> bool:
    """Curators and managers see every showing, but only their own exhibitions are their day."""
    if role not in (Role.CURATOR, Role.EXHIBITION_MANAGER):
        return True
    return any(post.role is role and about.exhibition_id in post.exhibitions for post in who.posts)


def _is_deputy_for(duty: Duty, who: PersonFacts, about: SubjectFacts) -> bool:
    return duty.code == "consent.asked" and any(
        post.deputy and post.role is duty.role and about.exhibition_id in post.exhibitions
        for post in who.posts
    )


def _line(duty: Duty, errand: Errand, who: PersonFacts, today: date) -> TodayLine:
    return TodayLine(
        key=duty.key,
        text=duty.text,
        why=duty.why,
        due_on=duty.due_on,
        band=band_of(duty, today),
        role=duty.role,
        url_name=errand.url_name,
        url_kwargs=errand.url_kwargs,
        query=errand.query,
        word=errand.word,
        object_number=duty.object_number,
        title=duty.title,
        exhibition=duty.exhibition,
        person_named=who.person_id in duty.people,
        days_in_hand=duty.days_in_hand,
        asked_on=duty.asked_on,
    )


def _of_the_steward(today: date) -> list[TodayLine]:
    """Meters to send for calibration, accounts that end: the steward's rules of the same table."""
    lines = []
    soon = today + timedelta(days=NOTICE_DAYS["calibration"])
    meters = Instrument.objects.filter(retired_on=None, calibration_due__lte=soon)
    for meter in meters.order_by("calibration_due", "pk"):
        lines.append(
            _steward_line(
                key=f"calibration:{meter.uid}:{meter.calibrated_on or ''}",
                text=f"Send {meter.name} to be calibrated.",
                why="A reading made after that day is kept and marked.",
                due_on=meter.calibration_due,
                today=today,
                url_name="instruments",
                uid="",
            )
        )
    ending = Person.objects.filter(
        ends_on__gte=today, ends_on__lte=today + timedelta(days=NOTICE_DAYS["account"])
    )
    for person in ending.order_by("ends_on", "pk"):
        lines.append(
            _steward_line(
                key=f"account:{person.uid}:{person.ends_on}",
                text=f"Extend or close the account of {person.full_name}.",
                why="It ends then.",
                due_on=person.ends_on,
                today=today,
                url_name="person",
                uid=str(person.uid),
            )
        )
    return lines


def _steward_line(
    *, key: str, text: str, why: str, due_on: date | None, today: date, url_name: str, uid: str
) -> TodayLine:
    duty = Duty(key=key, code="", text=text, why=why, role=Role.STEWARD, due_on=due_on)
    return TodayLine(
        key=key,
        text=text,
        why=why,
        due_on=due_on,
        band=band_of(duty, today),
        role=Role.STEWARD,
        url_name=url_name,
        url_kwargs={"uid": uid} if uid else {},
    )


def drafts_of(person: Person) -> list[Draft]:
    """Return what this person began and has neither signed nor sent, the youngest first."""
    reports = ConditionReport.objects.filter(entered_by=person, digest="", struck_at=None)
    found = [
        Draft(
            text=f"{row.report_no}, {row.get_kind_display()}, {row.museum_object.object_number}",
            begun_at=row.entered_at,
            url_name="condition-report",
            uid=str(row.uid),
        )
        for row in reports.select_related("museum_object").order_by("-entered_at", "-pk")
    ]
    versions = ProposalVersion.objects.filter(
        proposal__opened_by=person, proposal__dropped_at=None, digest=""
    )
    found += [
        Draft(
            text=f"{row.proposal.proposal_no} version {row.version}, "
            f"{row.proposal.museum_object.object_number}",
            begun_at=row.proposal.opened_at,
            url_name="proposal",
            uid=str(row.proposal.uid),
        )
        for row in versions.select_related("proposal__museum_object").order_by("-pk")
    ]
    return sorted(found, key=lambda draft: draft.begun_at, reverse=True)
