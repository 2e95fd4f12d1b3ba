"""A workbook of objects into SQLite, against writing the very same rows with bare SQL.

``python -m tests.bench.object_tables [objects]`` (20,000 without). The floor is ``executemany`` of
every row the import left, histories included, into the emptied tables in one transaction: what
the database alone asks for. Told is the ratio to that floor and objects a second.
"""

import os
import sys
import tempfile
import time
from collections.abc import Iterable, Sequence
from pathlib import Path

_FOLDER = Path(tempfile.mkdtemp(prefix="showrest-bench-"))
os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")
os.environ.setdefault("DATABASE_URL", f"sqlite:///{_FOLDER / 'bench.sqlite3'}")
os.environ.setdefault("SHOWREST_TEST_KEEP_ENVIRONMENT", "yes")
os.environ.setdefault("SHOWREST_DATA", str(_FOLDER))

import django  # noqa: E402
from django.apps import apps  # noqa: E402

if not apps.ready:
    django.setup()

from django.core.management import call_command  # noqa: E402
from django.db import connection, transaction  # noqa: E402

from lifecycle.actions.objects import bringing_in  # noqa: E402
from lifecycle.exchange.object_table.columns import COLUMNS  # noqa: E402
from lifecycle.exchange.tables.writing import Value, csv_bytes, xlsx_bytes  # noqa: E402
from lifecycle.jobs.sweep import do_work  # noqa: E402
from lifecycle.pages.lists_as_tables import objects_table  # noqa: E402
from lifecycle.process.stages import Role  # noqa: E402
from lifecycle.queries.rights import person_facts  # noqa: E402
from lifecycle.records.models import MuseumObject  # noqa: E402
from tests.builders.core import AT, make_person  # noqa: E402
from tests.builders.object_table import make_lists, sample, taken_back  # noqa: E402


def say(text: str) -> None:
    sys.stdout.write(f"{text}\n")


def _tables() -> list[str]:
    """The tables an import of objects writes, with their histories."""
    stems = ("museumobject", "othernumber", "measure", "component", "objecthazard", "face")
    names = connection.introspection.table_names()
    wanted = [f"records_{stem}" for stem in stems] + [f"records_historical{s}" for s in stems]
    links = ("museumobject_materials", "museumobject_techniques")
    wanted += [name for name in names if name.endswith(links)]
    return [name for name in dict.fromkeys(wanted) if name in names]


def floor() -> tuple[float, int]:
    """Seconds and rows of writing the same rows with bare SQL."""
    with connection.cursor() as cursor:
        kept = {}
        for name in _tables():
            cursor.execute(f'SELECT * FROM "{name}"')  # noqa: S608 - our own table names
            kept[name] = (len(cursor.description), cursor.fetchall())
        cursor.execute("PRAGMA foreign_keys = OFF")
        for name in kept:
            cursor.execute(f'DELETE FROM "{name}"')  # noqa: S608
        began = time.perf_counter()
        with transaction.atomic():
            for name, (width, rows) in kept.items():
                marks = ", ".join(["%s"] * width)
                cursor.executemany(f'INSERT INTO "{name}" VALUES ({marks})', rows)  # noqa: S608
        return time.perf_counter() - began, sum(len(rows) for _, rows in kept.values())


def _workbook(headings: Sequence[str], rows: Iterable[Sequence[Value]]) -> bytes:
    return xlsx_bytes(headings, rows, "Objects")


def main(count: int) -> None:
    """Write a workbook, bring it in, bring it again, write its floor, take it back."""
    call_command("migrate", verbosity=0)
    make_lists()
    lines = sample(count)
    keys = [column.key for column in COLUMNS if any(column.key in line for line in lines)]
    headings = [column.heading for column in COLUMNS if column.key in keys]
    began = time.perf_counter()
    data = xlsx_bytes(headings, [[line.get(key, "") for key in keys] for line in lines], "Objects")
    say(f"workbook written: {time.perf_counter() - began:.1f} s, {len(data) / 1e6:.1f} MB")
    person = make_person(Role.REGISTRAR)
    seconds = {}
    for name in ("first", "again"):
        began, worked = time.perf_counter(), time.process_time()
        work = bringing_in.bring_table(
            by=person, role=Role.REGISTRAR, at=AT, data=data, name="objects.xlsx"
        )
        bringing_in.go_ahead(by=person, role=Role.REGISTRAR, at=AT, uid=work.uid)
        do_work(str(work.uid))
        seconds[name] = time.perf_counter() - began
        work.refresh_from_db()
        spent = time.process_time() - worked
        say(f"{name}: {seconds[name]:.1f} s, {spent:.1f} s of them this process's, {work.doing}")
        if name == "first":
            first = work
    facts = person_facts(person, AT)
    for name, write in (("CSV", csv_bytes), ("XLSX", _workbook)):
        began = time.perf_counter()
        table = objects_table(MuseumObject.objects.all(), facts, with_restriction=True)
        size = len(write(table.headings, list(table.rows)))
        say(f"taken out as {name}: {time.perf_counter() - began:.1f} s, {size / 1e6:.1f} MB")
    least, rows = floor()
    say(
        f"{count} objects, {rows} rows: {count / seconds['first']:.0f} objects/s, "
        f"{seconds['first'] / least:.1f} times the floor of {least:.2f} s"
    )
    began = time.perf_counter()
    back = taken_back(first)
    say(f"taken back: {time.perf_counter() - began:.1f} s, {back.doing}")
    say(f"objects left: {MuseumObject.objects.count()}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 20_000)
