"""An invented table of objects, and the whole way of a table from upload to the records."""

import hashlib
from typing import Any

from lifecycle.actions.objects import bringing_in
from lifecycle.actions.objects.taking_back import ask_to_take_back
from lifecycle.actions.work import rows as work_rows
from lifecycle.exchange.object_table.columns import COLUMNS
from lifecycle.exchange.tables.writing import csv_bytes
from lifecycle.jobs.sweep import do_work
from lifecycle.process.stages import Role
from lifecycle.process.words import PlaceKind
from lifecycle.queries.table_traces import BESIDE
from lifecycle.records.models import (
    MuseumObject,
    Organisation,
    Person,
    SensitivityClass,
    Vocabulary,
    Work,
    WorkState,
)
from tests.builders.core import (
    AT,
    kept_by,
    make_class,
    make_museum,
    make_person,
    make_place,
    make_word,
)

HEADINGS = {column.key: column.heading for column in COLUMNS}
Row = dict[str, str]


def plain(number: str = "HCM.1", **more: str) -> Row:
    """The least a new object needs."""
    return {"object_number": number, "title": "Rain gauge", "object_type": "print", **more}


def bad_of(work: Work) -> list[list[Any]]:
    """The lines that were not written: line, number, reasons."""
    assert work.state == WorkState.DONE, work.doing
    found: list[list[Any]] = work.results["bad"]
    return found


def make_lists() -> None:
    """Words, classes, places and a lender that the invented table uses."""
    make_museum()
    for code, label in (("bound-manuscript", "bound manuscript"), ("print", "print")):
        make_word(Vocabulary.OBJECT_TYPE, code, label)
    for label in ("rag paper", "iron-gall ink", "silk", "brass", "mercury"):
        make_word(Vocabulary.MATERIAL, label.replace(" ", "-"), label)
    make_word(Vocabulary.TECHNIQUE, "etched", "etched")
    make_class("high")
    store = make_place("Main Store", PlaceKind.STORE)
    for n in range(1, 4):
        bay = make_place(f"Bay {n}", PlaceKind.BAY, parent=store)
        make_place(f"Shelf {n}a", PlaceKind.SHELF, parent=bay)
    Organisation(name="Mill Lane Trust", kind="lender").keep(**kept_by())


def class_label() -> str:
    return SensitivityClass.objects.get(code="high").label


def sample(count: int) -> list[Row]:
    """Lines of invented objects; every fifth has two faces and so two lines."""
    label = class_label()
    lines: list[Row] = []
    for n in range(1, count + 1):
        line = {
            "object_number": f"HCM.{1900 + n % 100}.{n}",
            "title": f"Weather diary, volume {n}",
            "object_type": "bound manuscript" if n % 2 else "print",
            "maker": f"E. Marlow ({n})" if n % 3 else "",
            "date": f"about {1800 + n % 100}",
            "numbers": f"old: K {n}; lender's: {n}" if n % 4 == 0 else f"old: K {n}",
            "materials": "rag paper; iron-gall ink" if n % 2 else "silk",
            "techniques": "etched" if n % 2 == 0 else "",
            "weight": f"{n} g",
            "size:closed:height": "31.2 cm",
            "size:closed:width": str(200 + n % 50),
            "size:closed:depth": "41.5",
            "components": "cover: loose; string" if n % 10 == 0 else "",
            "hazards": "arsenic (tested): nitrile gloves; heavy" if n % 7 == 0 else "",
            "cautions": "Two people; keep the clasp closed." if n % 6 == 0 else "",
            "class": label,
            "class_basis": "by material list",
            "place": f"Shelf {n % 3 + 1}a, Bay {n % 3 + 1}, Main Store",
            "face": "ff. 1v-2r",
            "face_kind": "opening",
            "landmark": "“Rain before noon”",
            "angle": "90",
        }
        if n % 11 == 0:
            line |= {"owner": "lender", "lender": "Mill Lane Trust"}
        lines.append(line)
        if n % 5 == 0:
            lines.append(
                {"object_number": line["object_number"], "face": "front board", "never": "no"}
            )
    return lines


def table_bytes(lines: list[Row], keys: list[str] | None = None) -> bytes:
    """Lines as a CSV under our own headings."""
    used = keys or [key for key in HEADINGS if any(key in line for line in lines)]
    return csv_bytes(
        [HEADINGS[key] for key in used], [[line.get(key, "") for key in used] for line in lines]
    )


def brought(lines: list[Row] | bytes, *, by: Person, role: Role = Role.REGISTRAR) -> Work:
    """A table that was uploaded and whose columns were suggested; nothing is written yet."""
    data = lines if isinstance(lines, bytes) else table_bytes(lines)
    return bringing_in.bring_table(by=by, role=role, at=AT, data=data, name="objects.csv")


def written(
    lines: list[Row] | bytes, *, by: Person | None = None, role: Role = Role.REGISTRAR
) -> Work:
    """A table brought in to its end by the worker's own task."""
    person = by or make_person(role)
    work = brought(lines, by=person, role=role)
    bringing_in.go_ahead(by=person, role=role, at=AT, uid=work.uid)
    do_work(str(work.uid))
    work.refresh_from_db()
    return work


def taken_back(table: Work, *, by: Person | None = None, role: Role = Role.REGISTRAR) -> Work:
    """The table taken back by the worker's own task."""
    person = by or table.asked_by
    assert person is not None
    work = ask_to_take_back(by=person, role=role, at=AT, uid=table.uid)
    do_work(str(work.uid))
    work.refresh_from_db()
    return work


def digest() -> str:
    """One digest over the content of every table a table of objects writes.

    It covers objects with their words, faces, sizes, components, hazards and other numbers, whole
    rows in the order of their keys. It leaves out the histories, which stay as witness.
    """
    found = hashlib.sha256()
    tables: list[Any] = [
        *(MuseumObject, *BESIDE, MuseumObject.materials.through, MuseumObject.techniques.through)
    ]
    for model in tables:
        linked = model._meta.auto_created
        columns = [f.attname for f in model._meta.concrete_fields if not (linked and f.primary_key)]
        for row in sorted(map(repr, model._default_manager.values_list(*columns))):
            found.update(f"{model._meta.label} {row}\n".encode())
    return found.hexdigest()


def histories() -> int:
    """How many entries all histories of these tables hold."""
    return sum(model.history.count() for model in (MuseumObject, *BESIDE))  # type: ignore[attr-defined]


__all__ = [
    "HEADINGS",
    "brought",
    "digest",
    "histories",
    "make_lists",
    "sample",
    "work_rows",
    "written",
]
