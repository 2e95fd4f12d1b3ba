"""Every address of the house: found in the resolver, tried by every role, by nobody and by guests.

``doors.yaml`` beside this file is the table. Run as a program, this module prints a row for each
address that the table does not name yet: read it, name its deed, put it into the table::

    python -m tests.pages.doors            # rows that are missing
    python -m tests.pages.doors --all      # every row as it answers now
"""

import copy
import inspect
import logging
import re
import sys
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from itertools import combinations
from pathlib import Path
from typing import Any, Final
from uuid import UUID

import django
import yaml

if __name__ == "__main__":
    django.setup()

from django.apps import apps
from django.core.management import call_command
from django.db import transaction
from django.test import Client
from django.test.utils import setup_test_environment
from django.urls import get_resolver
from django.urls.resolvers import URLPattern, URLResolver
from django.utils import timezone

from lifecycle.actions.demo import load_demo
from lifecycle.papers.words.stored import to_data
from lifecycle.process.rights import RIGHTS, Deed, always
from lifecycle.process.stages import Role
from lifecycle.process.words import HoldKind
from lifecycle.records.base import short_code
from lifecycle.records.models import (
    DeputyTerm,
    GuestPass,
    Hold,
    Incident,
    IncidentObject,
    MuseumObject,
    Person,
    Place,
    Print,
    PrintAbout,
    Showing,
    Vocabulary,
    Waiver,
    Word,
)
from tests.builders.core import kept_by, make_person, make_word
from tests.builders.papers_out import condition_report_words

TABLE: Final = Path(__file__).with_name("doors.yaml")
NOBODY: Final = "nobody"
GUESTS: Final = frozenset({Role.COURIER, Role.LENDER})
GROUPS: Final[Mapping[str, frozenset[str]]] = {
    "everyone": frozenset(role.value for role in Role),
    "inside": frozenset(role.value for role in Role if role not in GUESTS),
}
NO_RECORD: Final = UUID("00000000-0000-4000-8000-000000000000")

#: What stands in an address before its uid, and the table whose newest row is tried.
SAMPLES: Final[Mapping[str, str]] = {
    "objects": "museumobject",
    "faces": "face",
    "hazards": "objecthazard",
    "companions": "companionship",
    "places": "place",
    "points": "readingpoint",
    "people": "person",
    "roles": "roleassignment",
    "deputies": "deputyterm",
    "passes": "guestpass",
    "words": "word",
    "exhibitions": "exhibition",
    "showings": "showing",
    "moves": "journalentry",
    "waivers": "waiver",
    "holds": "hold",
    "condition": "conditionreport",
    "findings": "observation",
    "report-faces": "reportface",
    "lights-used": "lightused",
    "not-seen": "notseen",
    "recommendations": "recommendation",
    "pictures": "picture",
    "documents": "document",
    "proposals": "proposal",
    "proposals/versions": "proposalversion",
    "treatment/steps": "treatmentstep",
    "treatment/reports": "treatmentreport",
    "standing-consents": "standingconsent",
    "materials": "material",
    "imaging": "imagingjob",
    "facsimiles": "facsimile",
    "mounts": "mount",
    "fit-checks": "fitcheck",
    "captions": "caption",
    "cases": "casereadiness",
    "housings": "housing",
    "assessments": "assessment",
    "appointments": "appointment",
    "light/faces": "face",
    "light/objects": "museumobject",
    "light/entries": "lightentry",
    "light/places": "place",
    "light/readings": "lightreading",
    "light/looks": "look",
    "light/looks/of": "museumobject",
    "light/timetables": "littimetable",
    "light/hours": "litspan",
    "light/days": "litexception",
    "light/instruments": "instrument",
    "movements": "movement",
    "loans": "loan",
    "clauses": "requirement",
    "incidents": "incident",
    "papers": "print",
    "papers/print": "conditionreport",
    "steward/work": "work",
    "sign-in/as": "person",
}


@dataclass(frozen=True, slots=True)
class Door:
    """One address: its name in the table, and how it is tried."""

    name: str
    pattern: str
    view: Callable[..., Any]
    address: str

    @property
    def deeds_in_source(self) -> frozenset[Deed]:
        """The deeds its module speaks of: a first guess for a new row."""
        module = inspect.getmodule(inspect.unwrap(self.view))
        text = inspect.getsource(module) if module else ""
        return frozenset(
            Deed[word] for word in re.findall(r"Deed\.([A-Z_]+)", text) if word in Deed.__members__
        )


def patterns(resolver: URLResolver, before: str = "", space: str = "") -> Iterator[tuple[str, Any]]:
    """Walk the resolver: the whole pattern of each address, and its end."""
    for one in resolver.url_patterns:
        whole = before + str(one.pattern)
        if isinstance(one, URLPattern):
            yield f"{space}|{whole}", one
        else:
            yield from patterns(one, whole, one.namespace or space)


def doors() -> list[Door]:
    """Every address once; the tables of the reading room stand for one another, by kind of page."""
    found: dict[str, Door] = {}
    for key, one in patterns(get_resolver()):
        space, _, pattern = key.partition("|")
        name = f"{space}:{one.name}" if space else (one.name or pattern)
        if space == "admin":
            name = re.sub(r":\w+?_(changelist|add|history|delete|change)$", r": \1", name)
        elif name in found:
            name = f"{name} ({pattern.split('/<')[0].strip('^')})"
        if name not in found:
            found[name] = Door(name, pattern, one.callback, address_of(pattern))
    return list(found.values())


def address_of(pattern: str) -> str:
    """Fill a pattern with a record of the demo, or with values that fit."""
    kind = re.split(r"<|\(\?P<", pattern)[0].strip("^/")
    given: dict[str, Callable[[], Any]] = {
        "uid": lambda: newest(SAMPLES.get(kind, "")),
        "name": lambda: NAMES.get(kind) or _vocabulary(),
        "size": lambda: "thumbnail",
        "step": lambda: "master",
        "sha256": lambda: _content(kind),
        "code": lambda: short_code(newest("museumobject")),
        "paper": lambda: "condition_report",
        "kind": lambda: "letter",
        "deed": lambda: "send-again",
        "uidb36": lambda: "1",
        "key": lambda: "no-key",
        "provider_id": lambda: "house",
        "object_id": lambda: "1",
        "content_type_id": lambda: "1",
        "app_label": lambda: "records",
        "url": lambda: "nowhere",
    }
    filled = re.sub(
        r"\(\?P<(\w+)>[^)]*\)|<(?:\w+:)?(\w+)>",
        lambda part: str(given.get(part[1] or part[2], lambda: "x")()),
        pattern,
    )
    return "/" + re.sub(r"[\^$]|\\Z", "", filled)


#: Words that stand in addresses of these kinds.
NAMES: Final = {"showings": "take_in", "condition": "support"}


def _content(kind: str) -> str:
    """The digest of a kept file of the demo; of none where it keeps none of the kind."""
    model = apps.get_model("records", "document" if kind.startswith("documents") else "picture")
    found = model._default_manager.order_by("pk").values_list("sha256", flat=True).first()
    return str(found or "0" * 64)


def newest(table: str) -> UUID:
    """The uid of one row of a table; one that no record has where the demo has none."""
    try:
        model = apps.get_model("records", table)
    except LookupError:
        return NO_RECORD
    rows = model._default_manager.order_by("pk")
    if table == "person":
        rows = rows.exclude(account=None)
    row = rows.first()
    return row.uid if row is not None else NO_RECORD


def _vocabulary() -> str:
    word = Word.objects.first()
    assert word is not None
    return str(word.vocabulary)


def visitors() -> dict[str, Client]:
    """One client for each role, held by somebody of no job, gallery or exhibition; and nobody."""
    clients = {NOBODY: Client(raise_request_exception=False)}
    for role in Role:
        person = make_person(*([] if role in GUESTS else [role]))
        if role in GUESTS:
            _give_pass(person, role)
        assert person.account is not None
        client = clients[role.value] = Client(raise_request_exception=False)
        client.force_login(person.account)
    return clients


def _give_pass(person: Person, role: Role) -> None:
    lent = MuseumObject.objects.exclude(lender=None).order_by("-pk").first()
    assert lent is not None
    assert lent.lender is not None
    row = GuestPass(
        person=person,
        role=role,
        organisation=lent.lender,
        from_on=date(2020, 1, 1),
        until_on=date(2099, 1, 1),
    ).keep(**kept_by())
    row.museum_objects.set([lent])


def answer(client: Client, door: Door, *, sends: bool) -> int:
    """The status a visitor gets; whatever a visit writes, or signs in and out, is taken back."""
    before = copy.deepcopy(client.cookies)
    with transaction.atomic():
        response = client.post(door.address) if sends else client.get(door.address)
        if hasattr(response, "close"):
            response.close()
        transaction.set_rollback(True)
    client.cookies = before
    return int(response.status_code)


def answers(clients: Mapping[str, Client], door: Door, *, sends: bool) -> dict[str, int]:
    return {who: answer(client, door, sends=sends) for who, client in clients.items()}


# The table


def read_table() -> dict[str, dict[Any, Any]]:
    """The rows by name; a row says the deed, and who gets which answer."""
    rows: dict[str, dict[Any, Any]] = yaml.safe_load(TABLE.read_text(encoding="utf-8"))
    return rows


def names_in(value: Any) -> frozenset[str]:
    """Roles of a cell: one word, a group, or several parted by blanks."""
    words = str(value).split()
    return frozenset().union(*(GROUPS.get(word, frozenset({word})) for word in words))


def expected(row: Mapping[Any, Any]) -> dict[str, int]:
    """Who gets which answer: 403 where nothing is said, for nobody the way to the sign-in."""
    said = {role.value: 403 for role in Role} | {NOBODY: int(row.get(NOBODY, 302))}
    for status, who in row.items():
        if isinstance(status, int):
            said |= dict.fromkeys(names_in(who), status)
    return said


def faults_of_deed(row: Mapping[Any, Any]) -> list[str]:
    """Where a row of the table contradicts the rights table of the process."""
    if "deed" not in row:
        return []
    deeds = [Deed(word) for word in str(row["deed"]).split()]
    said, faults = expected(row), []
    for role in Role:
        cells = [RIGHTS[deed][role] for deed in deeds if role in RIGHTS[deed]]
        if not cells and said[role.value] != 403:
            faults.append(f"{role.label} has no such right, but gets {said[role.value]}")
        if always in cells and said[role.value] == 403:
            faults.append(f"{role.label} always has this right, but gets 403")
    return faults


def row_of(door: Door, got: Mapping[str, int], *, sends: bool) -> str:
    """A row as it would stand in the table."""
    parts = []
    if deed := _deed(door, got):
        parts.append(f"deed: {deed}")
    for status in sorted(set(got.values()) - {403}):
        who = frozenset(name for name, one in got.items() if one == status and name != NOBODY)
        if who:
            parts.append(f"{status}: {_words(who)}")
    if got[NOBODY] != 302:
        parts.append(f"nobody: {got[NOBODY]}")
    if sends:
        parts.append("sends: true")
    return f"{door.name!r}: {{{', '.join(parts)}}}".replace("'", '"')


def _words(who: frozenset[str]) -> str:
    for group, members in GROUPS.items():
        if who == members:
            return group
    return " ".join(role.value for role in Role if role.value in who)


def _deed(door: Door, got: Mapping[str, int]) -> str:
    """The deed, or the two, that the answers agree with and the module speaks of."""
    if 403 not in got.values():
        return ""
    spoken = door.deeds_in_source or frozenset(Deed)
    for among, count in ((spoken, 1), (spoken, 2), (spoken, 3), (frozenset(Deed), 1)):
        for deeds in combinations(sorted(among), count):
            row: dict[Any, Any] = {"deed": " ".join(deeds), **_as_row(got)}
            if not faults_of_deed(row):
                return " ".join(deeds)
    return ""


def _as_row(got: Mapping[str, int]) -> dict[int, str]:
    return {
        status: " ".join(name for name, one in got.items() if one == status and name != NOBODY)
        for status in set(got.values())
    }


def set_the_scene() -> dict[str, Client]:
    """The demo as it stands today with what it lacks, and one visitor of each kind."""
    load_demo(on=timezone.localdate())
    _add_what_the_demo_lacks()
    return visitors()


def _add_what_the_demo_lacks() -> None:
    """A deputy, a hold, a waiver, an incident and a print: rows whose doors are tried too."""
    showing = Showing.objects.order_by("pk").first()
    first, second = Person.objects.exclude(account=None).order_by("pk")[:2]
    assert showing is not None
    moment, day = timezone.now(), timezone.localdate()
    place = showing.place or Place.objects.order_by("pk").first()
    about = {"museum_object": showing.museum_object, "showing": showing}
    DeputyTerm(for_person=first, deputy=second, role=Role.CURATOR, from_on=day, until_on=day).keep(
        **kept_by()
    )
    Hold(
        museum_object=showing.museum_object,
        kind=HoldKind.UNCLEAR_FINDING,
        reason="Looked at.",
        placed_by=first,
        placed_role=Role.CONSERVATOR,
        placed_at=moment,
    ).keep(**kept_by())
    Waiver(
        showing=showing,
        code="mount.fit",
        text="The mount is not tried.",
        by=first,
        role=Role.CONSERVATOR,
        at=moment,
        reason="Tried on the day.",
    ).keep(**kept_by())
    incident = Incident(
        incident_no="IN-9999",
        kind=make_word(Vocabulary.INCIDENT_KIND, "other"),
        discovered_at=moment,
        reported_at=moment,
        reporter=first,
        reporter_role=Role.CONSERVATOR,
        place=place,
        circumstances="Dust on the glass.",
    ).keep(**kept_by())
    IncidentObject(incident=incident, museum_object=showing.museum_object).keep(**kept_by())
    words = to_data(condition_report_words())
    printed = Print(
        print_no="PR-9999",
        paper="condition_report",
        record_kind="conditionreport",
        record_uid=newest("conditionreport"),
        record_no="CR-9999",
        record_version=1,
        digest="0" * 64,
        pages=1,
        copy_word="working",
        words=words,
        page_size="a4",
        zone="UTC",
        address="https://showrest.example/p/2222222/",
        printed_by=first,
        printed_role=Role.CONSERVATOR,
        printed_at=moment,
    ).append()
    PrintAbout(print=printed, **about).append()


def takes_forms_only(clients: Mapping[str, Client], door: Door) -> bool:
    """Whether an address answers no GET at all: then a form is sent to it instead."""
    return answer(clients[Role.STEWARD.value], door, sends=False) == 405


def missing(known: Iterable[str], clients: Mapping[str, Client]) -> Iterator[str]:
    """Rows for the addresses that are not known yet."""
    for door in doors():
        if door.name not in known:
            sends = takes_forms_only(clients, door)
            yield row_of(door, answers(clients, door, sends=sends), sends=sends)


def main() -> None:
    setup_test_environment()
    logging.disable(logging.CRITICAL)
    call_command("migrate", verbosity=0)
    clients = set_the_scene()
    known = () if "--all" in sys.argv else (read_table() if TABLE.exists() else ())
    for row in missing(known, clients):
        print(row, flush=True)  # noqa: T201


if __name__ == "__main__":
    main()
