"""Records as plain text: every fact a line, definitions beside the words, parts inside.

Rows are read in portions; how many questions a portion takes depends on the kinds, not the rows.
"""

from collections.abc import Iterable, Iterator, Sequence
from textwrap import indent
from typing import Any, Final

from django.db.models import Count

from lifecycle.process.stages import Role
from lifecycle.process.words import SignCapacity, SignMethod
from lifecycle.queries.package.changes import Change, changes_by_row
from lifecycle.queries.package.columns import Column, columns_of
from lifecycle.queries.package.kinds import KindOfRecord, parts_of
from lifecycle.queries.package.naming import Name, Names
from lifecycle.queries.package.scope import Reach
from lifecycle.queries.package.signed import is_signed, signed_file
from lifecycle.queries.package.values import Fact, fact_of, look_up_names
from lifecycle.queries.signed_text.lines import clean, moment_in_words
from lifecycle.records.models import Signature
from lifecycle.records.signable import Signable

PORTION: Final = 200
#: Kinds that come by the thousand: told in the tables, only counted on a page.
ONLY_IN_TABLES: Final = frozenset({"LightReading", "ClimateReading", "LightLog"})
#: More parts of one kind than this are only counted on a page; the table has them all.
MOST_PARTS: Final = 400
_STEP: Final = "    "


def portions(rows: Any, most: int = PORTION) -> Iterator[list[Any]]:
    """Yield rows in portions, by their ids, so that nothing is held open or counted twice."""
    last = 0
    many = [field.name for field in rows.model._meta.many_to_many]
    while found := list(rows.filter(pk__gt=last).prefetch_related(*many)[:most]):
        yield found
        last = found[-1].pk


class Teller:
    """Writes the pages of one package."""

    def __init__(self, reach: Reach, names: Names) -> None:
        self.reach = reach
        self.names = names

    def pages(self, kind: KindOfRecord, rows: Sequence[Any]) -> Iterator[tuple[Name, str]]:
        """Yield for each row what it is called, with the name of its file, and its page."""
        blocks = self._blocks(kind, rows)
        for row in rows:
            name = self.names.of(kind.model, row.pk)
            head = f"{name.text[:1].upper()}{name.text[1:]}"
            yield name, "\n".join([head, "=" * min(len(head), 100), "", *blocks[row.pk]]) + "\n"

    def listed(self, kind: KindOfRecord, rows: Sequence[Any]) -> Iterator[str]:
        """Yield one block of text for each row of a kind that is told in a list."""
        blocks = self._blocks(kind, rows)
        for row in rows:
            head = self.names.of(kind.model, row.pk).text
            yield "\n".join([head, "-" * min(len(head), 100), *blocks[row.pk], ""]) + "\n"

    def _blocks(
        self, kind: KindOfRecord, rows: Sequence[Any], inside: str = ""
    ) -> dict[int, list[str]]:
        """The lines of each row by its id; ``inside``: the column that leads back to its record."""
        all_columns = columns_of(kind, self.reach.hidden)
        columns = [column for column in all_columns if column.name != inside]
        look_up_names(self.names, columns, rows)
        self.names.look_up(kind.model, [row.pk for row in rows])
        changes = changes_by_row(kind, columns, rows, self.names)
        signatures = self._signatures(kind, rows)
        found = {}
        for row in rows:
            signed = signatures.get((row.uid, _version(row)), [])
            page = self.names.of(kind.model, row.pk).file
            found[row.pk] = [
                *self._facts(columns, row),
                *_history(changes.get(row.pk, [])),
                *_signed(kind, page, row, signed),
            ]
        for part, key in parts_of(kind.model):
            self._add_parts(found, part, key)
        return found

    def _facts(self, columns: Iterable[Column], row: Any) -> Iterator[str]:
        for column in columns:
            fact = fact_of(column, row, self.names)
            if fact is not None:
                yield from _lines(fact)

    def _add_parts(self, found: dict[int, list[str]], part: KindOfRecord, key: str) -> None:
        rows = self.reach.rows(part).filter(**{f"{key}__in": sorted(found)})
        counts = dict(rows.order_by().values_list(key).annotate(Count("pk")))
        told = [
            owner
            for owner, count in counts.items()
            if count <= MOST_PARTS and part.model.__name__ not in ONLY_IN_TABLES
        ]
        blocks: dict[int, list[list[str]]] = {}
        inside = rows.filter(**{f"{key}__in": told}) if told else rows.none()
        attname = part.model._meta.get_field(key).attname  # type: ignore[union-attr]
        for portion in portions(inside) if told else ():
            texts = self._blocks(part, portion, key)
            for row in portion:
                blocks.setdefault(getattr(row, attname), []).append(texts[row.pk])
        for owner, count in counts.items():
            lines = found[owner]
            title = f"{part.plural[:1].upper()}{part.plural[1:]}: {count}"
            lines += ["", title]
            if owner not in blocks:
                lines.append(f"{_STEP}They stand in tables/{part.name}.csv.")
            for number, block in enumerate(blocks.get(owner, []), start=1):
                lines.append(f"{_STEP}{part.singular.capitalize()} {number} of {count}")
                lines += [indent(line, _STEP * 2) for line in block]

    def _signatures(
        self, kind: KindOfRecord, rows: Sequence[Any]
    ) -> dict[tuple[Any, int], list[Signature]]:
        if not is_signed(kind):
            return {}
        found: dict[tuple[Any, int], list[Signature]] = {}
        wanted = Signature.objects.filter(record_uid__in=[row.uid for row in rows])
        for one in wanted.select_related("person", "read_back_by").order_by("at", "pk"):
            found.setdefault((one.record_uid, one.record_version), []).append(one)
        return found


def _version(row: Any) -> int:
    """The version that was signed; a decision on a version has none of its own."""
    version = getattr(row, "version", 1)
    return version if isinstance(version, int) else 1


def _lines(fact: Fact) -> Iterator[str]:
    words = clean(fact.words)
    label = f"{fact.label[:1].upper()}{fact.label[1:]}"
    if "\n" in words:
        yield f"{label}:"
        yield from (f"{_STEP}{line}" if line else "" for line in words.split("\n"))
    else:
        yield f"{label}: {words}"
    for said in fact.beside:
        yield f"{_STEP}({' '.join(said.split())})"


def _history(changes: Sequence[Change]) -> Iterator[str]:
    if changes:
        yield "History:"
    for change in changes:
        who = change.by or "nobody in particular"
        role = f" ({change.role})" if change.role else ""
        why = f": {' '.join(change.why.split())}" if change.why else ""
        what = " ".join(change.what.split())
        told = f" [{what}]" if what else ""
        yield f"{_STEP}{moment_in_words(change.at)}, {who}{role}{why}{told}"


def _signed(
    kind: KindOfRecord, page: str, row: Any, signatures: Sequence[Signature]
) -> Iterator[str]:
    if isinstance(row, Signable) and row.signed:
        yield ""
        yield "The words that were signed"
        yield f"{_STEP}They stand, to the letter, in {signed_file(kind, page, row)}."
        yield f"{_STEP}SHA-256 of that file: {row.digest}"
    if signatures:
        yield ""
        yield f"Signatures: {len(signatures)}"
    for one in signatures:
        how = SignMethod(one.method).label
        capacity = SignCapacity(one.capacity).label
        yield (
            f"{_STEP}{one.person.full_name}, {Role(one.role).label}, as {capacity}, "
            f"{moment_in_words(one.at)}, {how}"
        )
        if one.read_back_by is not None:
            yield f"{_STEP * 2}read back by {one.read_back_by.full_name}"
        yield f"{_STEP * 2}digest that was signed: {one.digest}"
