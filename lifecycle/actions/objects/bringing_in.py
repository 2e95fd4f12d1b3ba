"""Bring objects in from a table: the file, its columns, its words, then the person's go-ahead.

Nothing of the objects is written here; the worker does it, see ``writing_in``.
"""

import hashlib
import uuid
from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any, Final

from django.core.files.storage import default_storage
from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.places import PlaceDetails, add_place
from lifecycle.actions.refusals import NotAllowed, Reason, Refused
from lifecycle.actions.words import add_word
from lifecycle.actions.work import rows
from lifecycle.exchange.kept_files import keep_file
from lifecycle.exchange.object_table.columns import BY_KEY, suggest
from lifecycle.exchange.object_table.line import CAN_DO_WITHOUT, NO_WARNING, WITHOUT
from lifecycle.exchange.object_table.places_named import Missing
from lifecycle.exchange.tables.reading import read_table
from lifecycle.exchange.tables.table import Table, UnreadableTable
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.process.words import PlaceKind
from lifecycle.queries.object_cards import lookups
from lifecycle.records.models import Organisation, OrganisationKind, Person, Place, Vocabulary
from lifecycle.records.models.work import Work, WorkKind, WorkState

#: Lists to which a word can be added from the page, and the vocabulary it is added to.
VOCABULARIES: Final = {
    "object type": Vocabulary.OBJECT_TYPE,
    "material": Vocabulary.MATERIAL,
    "technique": Vocabulary.TECHNIQUE,
}
ADD: Final = "add"


def table_deed(role: Role) -> Deed:
    """Tables of objects are brought in by those who keep the cards, and by the steward.

    Registrars and the head of collections keep the cards of the collection; the steward sets a
    museum up. Conservators write single cards as part of examining.
    """
    return Deed.STEWARD if role is Role.STEWARD else Deed.REGISTER


@transaction.atomic
def bring_table(*, by: Person, role: Role, at: datetime, data: bytes, name: str) -> Work:
    """Keep the file and suggest its columns.

    :raises Refused: beside ``table``, when the file can't be read as one
    """
    allow(by=by, role=role, deed=table_deed(role), at=at)
    table = _read(data, name, "")
    digest = hashlib.sha256(data).hexdigest()
    path = f"tables/{digest[:2]}/{digest}"
    keep_file(path, data)
    inputs = {
        "file": path,
        "name": "".join(letter for letter in name if letter.isprintable())[-120:],
        "sheet": table.sheet,
        "role": role.value,
        "headings": list(table.headings),
        "keys": suggest(table.headings, remembered_columns()),
        "meanings": [],
    }
    key = f"objects/{uuid.uuid4()}"
    return rows.prepare(kind=WorkKind.IMPORT_OBJECTS, key=key, by=by, at=at, inputs=inputs)


def _read(data: bytes, name: str, sheet: str) -> Table:
    try:
        table = read_table(data, name, sheet=sheet)
    except UnreadableTable as bad:
        raise Refused(Reason(str(bad), "table")) from bad
    if not table.lines:
        raise Refused(Reason(f"“{name}” has headings, but no line below them.", "table"))
    return table


def table_of(work: Work) -> Table:
    """Read the kept file again, as it was chosen."""
    with default_storage.open(work.inputs["file"]) as kept:
        data = kept.read()
    return _read(data, work.inputs["name"], work.inputs["sheet"])


def remembered_columns() -> dict[str, str]:
    """What was chosen for each heading when a table was last brought in."""
    asked = Work.objects.filter(kind=WorkKind.IMPORT_OBJECTS).exclude(state=WorkState.PREPARING)
    last = asked.order_by("-asked_at", "-pk").values_list("inputs", flat=True).first()
    return dict(zip(last["headings"], last["keys"], strict=True)) if last else {}


def lock_prepared(uid: uuid.UUID, *, by: Person, role: Role, at: datetime) -> Work:
    """Hold the row of an import that is still being prepared."""
    allow(by=by, role=role, deed=table_deed(role), at=at)
    work = Work.objects.select_for_update().get(uid=uid, kind=WorkKind.IMPORT_OBJECTS)
    if work.state != WorkState.PREPARING:
        raise Refused("This table was handed on or put aside already; bring it again to change it.")
    return work


@transaction.atomic
def choose_sheet(*, by: Person, role: Role, at: datetime, uid: uuid.UUID, sheet: str) -> Work:
    """Read another sheet of the workbook; its columns are suggested anew."""
    work = lock_prepared(uid, by=by, role=role, at=at)
    work.inputs = {**work.inputs, "sheet": sheet}
    table = table_of(work)
    keys = suggest(table.headings, remembered_columns())
    work.inputs |= {"headings": list(table.headings), "keys": keys, "meanings": []}
    work.save(update_fields=["inputs"])
    return work


@transaction.atomic
def choose_columns(
    *, by: Person, role: Role, at: datetime, uid: uuid.UUID, keys: Sequence[str]
) -> Work:
    """Say which column of the table is which of ours; the others are left out."""
    work = lock_prepared(uid, by=by, role=role, at=at)
    headings = work.inputs["headings"]
    reasons = []
    if len(keys) != len(headings):
        raise Refused("The table has other columns than this form: open it again.")
    for n, key in enumerate(keys):
        if key and key not in BY_KEY:
            reasons.append(Reason("There is no such column.", f"column_{n}"))
        elif key and keys.index(key) < n:
            other = headings[keys.index(key)]
            reasons.append(
                Reason(
                    f"“{other}” is taken as {BY_KEY[key].heading} already; one of the two is "
                    "something else.",
                    f"column_{n}",
                )
            )
    if "object_number" not in keys:
        reasons.append(Reason("Say which column holds the object number."))
    if reasons:
        raise Refused(reasons)
    work.inputs = {**work.inputs, "keys": list(keys)}
    work.save(update_fields=["inputs"])
    return work


@transaction.atomic
def say_meanings(
    *,
    by: Person,
    role: Role,
    at: datetime,
    uid: uuid.UUID,
    meanings: Mapping[tuple[str, str], str],
    places: Sequence[Missing] = (),
) -> Work:
    """Say what unknown words of the table stand for: a word there is, or a new one (``ADD``).

    Only those add who may add on the list's own page. A word without an answer leaves its lines
    out.
    """
    work = lock_prepared(uid, by=by, role=role, at=at)
    lists = lookups()
    said: dict[tuple[str, str], str] = {
        (list_name, word): meaning for list_name, word, meaning in work.inputs["meanings"]
    }
    for place in places:
        _add_place(place, by=by, role=role, at=at)
    for (list_name, word), meaning in meanings.items():
        mark = (list_name, word.casefold())
        if meaning == ADD:
            _add(list_name, word, by=by, role=role, at=at)
            said.pop(mark, None)
        elif not meaning:
            said.pop(mark, None)
        elif meaning == WITHOUT and list_name in CAN_DO_WITHOUT:
            said[mark] = meaning
        elif meaning not in lists[list_name].words.values() or meaning in NO_WARNING:
            raise Refused(f"“{meaning}” is no {list_name}.")
        else:
            said[mark] = meaning
    work.inputs = {
        **work.inputs,
        "meanings": [[name, word, meaning] for (name, word), meaning in sorted(said.items())],
    }
    work.save(update_fields=["inputs"])
    return work


def may_add(list_name: str, role: Role) -> bool:
    """Whether this role may add to the list: vocabularies are the steward's, lenders are not."""
    return list_name == "lender" or (list_name in VOCABULARIES and role is Role.STEWARD)


def _add(list_name: str, word: str, *, by: Person, role: Role, at: datetime) -> None:
    if not may_add(list_name, role):
        raise NotAllowed(f"A {list_name} is added by the steward, on its own page.")
    if list_name == "lender":
        lender = Organisation(name=word, kind=OrganisationKind.LENDER)
        lender.keep(by=by, role=role, why="Lender of objects of a table.", at=at)
    else:
        add_word(by=by, role=role, at=at, vocabulary=VOCABULARIES[list_name], label=word)


def _add_place(missing: Missing, *, by: Person, role: Role, at: datetime) -> None:
    parent: Place | None = None
    for name, kind in missing.steps:
        there = Place.objects.filter(parent=parent, name__iexact=name, closed_on=None).first()
        parent = there or add_place(
            by=by,
            role=role,
            at=at,
            details=PlaceDetails(name=name, kind=PlaceKind(kind), parent=parent),
        )


@transaction.atomic
def go_ahead(*, by: Person, role: Role, at: datetime, uid: uuid.UUID) -> Work:
    """Hand the table to the worker; from here on it is written."""
    work = lock_prepared(uid, by=by, role=role, at=at)
    if "object_number" not in work.inputs["keys"]:
        raise Refused("Say first which column holds the object number.")
    work.inputs = {**work.inputs, "role": role.value}
    work.asked_by = by
    work.save(update_fields=["inputs", "asked_by"])
    rows.start(work=work, at=at)
    return work


@transaction.atomic
def put_aside(*, by: Person, role: Role, at: datetime, uid: uuid.UUID) -> Work:
    """Leave a table that is being prepared; nothing was written."""
    work = lock_prepared(uid, by=by, role=role, at=at)
    work.state, work.ended_at, work.doing = WorkState.STOPPED, at, "Put aside; nothing was written."
    work.save(update_fields=["state", "ended_at", "doing"])
    return work


def meanings_of(work: Work) -> dict[tuple[str, str], str]:
    """What was said of unknown words, for reading the lines."""
    said: list[list[Any]] = work.inputs["meanings"]
    return {(name, word): meaning for name, word, meaning in said}
