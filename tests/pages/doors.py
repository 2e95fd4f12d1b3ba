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
from itertools import combinations
from pathlib import Path
from typing import Any, Final

import django
import yaml

if __name__ == "__main__":
    django.setup()

from django.apps import apps
from django.db import transaction
from django.test import Client
from django.test.utils import setup_test_environment
from django.urls import get_resolver
from django.urls.converters import get_converters
from django.urls.resolvers import URLPattern, URLResolver

from lifecycle.process.rights import RIGHTS, Deed, always
from lifecycle.process.stages import Role
from lifecycle.records.base import short_code
from lifecycle.records.models import Word
from tests.builders.tables import make_tables
from tests.pages.door_scene import GUESTS, NOBODY, newest, set_the_scene

TABLE: Final = Path(__file__).with_name("doors.yaml")
GROUPS: Final[Mapping[str, frozenset[str]]] = {
    "everyone": frozenset(role.value for role in Role),
    "inside": frozenset(role.value for role in Role if role not in GUESTS),
    "others": frozenset(role.value for role in Role if role is not Role.STEWARD),
}

#: What stands in an address before its uid, and the table whose newest row is tried.
SAMPLES: Final[Mapping[str, str]] = {
    "objects": "museumobject",
    "faces": "face",
    "hazards": "objecthazard",
    "companions": "companionship",
    "places": "place",
    "plans": "place/room",
    "points": "readingpoint",
    "lamps": "lamp",
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
    "inked-areas": "inkrating",
    "ink-tests": "inktest",
    "colour-spots": "colourspot",
    "colour-readings": "colourmeasurement",
    "pictures": "picture",
    "documents": "document",
    "proposals": "proposal",
    "proposals/versions": "proposalversion",
    "treatment/steps": "treatmentstep",
    "treatment/reports": "treatmentreport",
    "treatment/sequences": "stepsequence",
    "standing-consents": "standingconsent",
    "materials": "material",
    "call-backs": "callback",
    "treatment/findings": "treatmentfinding",
    "treatment/asked": "askedagain",
    "imaging": "imagingjob",
    "facsimiles": "facsimile",
    "mounts": "mount",
    "fit-checks": "fitcheck",
    "captions": "caption",
    "cases": "casereadiness",
    "housings": "housing",
    "answers": "requestanswer",
    "assessments": "assessment",
    "appointments": "appointment",
    "light/faces": "face",
    "light/objects": "museumobject",
    "light/entries": "lightentry",
    "light/places": "place",
    "light/logs": "work",
    "light/logs/of": "lightlog",
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
    "request-lists": "requestlist",
    "request-lines": "requestline",
    "steward/work": "work",
    "take-overs": "work/take_over",
    "objects/bring-in": "work/import_objects",
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
        "sequence": lambda: newest("stepsequence"),
        "trait": lambda: "iron_gall_ink",
        "brings": lambda: "moisture",
        "over": lambda: newest("picture"),
        "level": lambda: "0",
        "column": lambda: "0",
        "row": lambda: "0",
        "sha256": lambda: _content(kind),
        "code": lambda: short_code(newest("museumobject")),
        "paper": lambda: "condition_report",
        "uidb36": lambda: "1",
        "key": lambda: "no-key",
        "provider_id": lambda: "house",
        "object_id": lambda: "1",
        "content_type_id": lambda: "1",
        "app_label": lambda: "records",
        "url": lambda: "nowhere",
    }

    def value(part: re.Match[str]) -> str:
        """A record of the demo, a word that fits, or the first word of a closed converter."""
        converter = get_converters().get(part[2] or "")
        own = converter is not None and "|" in converter.regex
        name = part[1] or part[3]
        if own and name not in given:
            return str(converter.regex.split("|")[0])  # type: ignore[union-attr]
        return str(given.get(name, lambda: "x")())

    filled = re.sub(r"\(\?P<(\w+)>[^)]*\)|<(?:(\w+):)?(\w+)>", value, pattern)
    return "/" + re.sub(r"[\^$]|\\Z", "", filled)


#: Words that stand in addresses of these kinds.
NAMES: Final = {"showings": "take_in", "condition": "support"}


def _content(kind: str) -> str:
    """The digest of a kept file of the demo; of none where it keeps none of the kind."""
    model = apps.get_model("records", "document" if kind.startswith("documents") else "picture")
    found = model._default_manager.order_by("pk").values_list("sha256", flat=True).first()
    return str(found or "0" * 64)


def _vocabulary() -> str:
    word = Word.objects.first()
    assert word is not None
    return str(word.vocabulary)


def answer(client: Client, door: Door, *, sends: bool) -> int:
    """The status a visitor gets; whatever a visit writes, or signs in and out, is taken back."""
    before = copy.deepcopy(client.cookies)
    with transaction.atomic():
        response = client.post(door.address) if sends else client.get(door.address)
        if response.streaming:  # read whole, a file closes; its close() would end the connection
            b"".join(response.streaming_content)  # type: ignore[attr-defined]
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
    make_tables()
    clients = set_the_scene()
    known = () if "--all" in sys.argv else (read_table() if TABLE.exists() else ())
    for row in missing(known, clients):
        print(row, flush=True)  # noqa: T201


if __name__ == "__main__":
    main()
