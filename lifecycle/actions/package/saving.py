"""Write an open package into a folder, step by step; a step that was done is not done again.

Nothing here writes a row. Rows come in portions and files go through the disk, so that a museum
takes no more memory than an object.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any, Final

from lifecycle.actions.package import marks, papers
from lifecycle.actions.package.notes import Notes
from lifecycle.exchange.package.bag import payload_file, seal
from lifecycle.exchange.package.readme import README, About, readme
from lifecycle.exchange.package.tables import (
    CLOSED_HEAD,
    CLOSED_LISTS,
    DICTIONARY,
    DICTIONARY_HEAD,
    HISTORY_HEAD,
    csv_table,
    json_lines,
)
from lifecycle.queries.package.changes import changes_by_row
from lifecycle.queries.package.columns import columns_of
from lifecycle.queries.package.kinds import (
    NOT_PACKED,
    WHOLE_MUSEUM_ONLY,
    KindOfRecord,
    called,
    kinds,
    record_models,
)
from lifecycle.queries.package.left_out import hidden_from, reasons
from lifecycle.queries.package.naming import Names
from lifecycle.queries.package.scope import Reach, Scope
from lifecycle.queries.package.telling import Teller, portions
from lifecycle.queries.package.values import look_up_names, plain, plain_value, stored
from lifecycle.queries.signed_text.lines import moment_in_words
from lifecycle.records.models import Museum

TABLE_PORTION: Final = 500


class Stopped(Exception):
    """Somebody asked the work to stop, or another worker has taken it up."""


#: Told how many more parts are done and what is being done; raises ``Stopped`` to end the work.
Tick = Callable[[int, str], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """What is asked for; ``seen`` are the restricted matters the asker may read."""

    scope: Scope
    title: str
    about: str
    made_by: str
    at: datetime
    seen: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One part of the work: a key that never changes, what it does, how much it weighs."""

    key: str
    doing: str
    size: int
    do: Callable[[Tick], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Saved:
    """A whole package: files and bytes of its payload, rows told, and what could not be had."""

    folder: Path
    files: int
    size: int
    rows: int
    missing: Sequence[str]


class Saving:
    """One package that is being written into ``folder``; ``notes`` remember what is done."""

    def __init__(self, order: Order, folder: Path, notes: Notes) -> None:
        self.order, self.folder, self.notes = order, folder, notes
        self.reach = Reach(order.scope, hidden_from(order.seen))
        self.names = Names()
        self.teller = Teller(self.reach, self.names)
        self.counts = [(kind, self.reach.rows(kind).count()) for kind in kinds()]
        self.present = [(kind, count) for kind, count in self.counts if count]

    def steps(self) -> list[Step]:
        """Return every step of this package, in order."""
        steps = [Step(key="dictionary", doing="Describing columns", size=1, do=self._dictionary)]
        for kind, count in self.present:
            steps.append(self._step("table", kind, count, self._table))
        for kind, count in self.present:
            if kind.folder:
                steps.append(self._step("pages", kind, count, self._pages))
            elif kind.in_list:
                steps.append(self._step("list", kind, count, self._list))
        return [*steps, *self._paper_steps()]

    def _step(self, what: str, kind: KindOfRecord, count: int, do: Any) -> Step:
        doing = f"{'Table' if what == 'table' else 'Text'} of {kind.plural}"
        return Step(
            key=f"{what} {kind.name}", doing=doing, size=count, do=lambda tick: do(kind, tick)
        )

    def _paper_steps(self) -> Iterator[Step]:
        steps = papers.steps_of(self.folder, self.reach, self.names, self.notes)
        more = marks.steps_of(self.folder, self.reach, self.names)
        for key, doing, size, do in (*steps, *more):
            yield Step(key=key, doing=doing, size=size, do=do)

    def save(self, tick: Tick) -> Saved:
        """Write what is not written yet, then the README and the checksum lists.

        :raises Stopped: when ``tick`` says so; what is whole stays and is not written again
        """
        for step in self.steps():
            if self.notes.is_done(step.key):
                tick(step.size, step.doing)
                continue
            told = _Told(tick, step)
            step.do(told)
            told.rest()
            self.notes.done(step.key)
        self._readme()
        size, files = seal(
            self.folder,
            {
                "Source-Organization": _museum(),
                "External-Description": self.order.about,
                "External-Identifier": self.folder.name,
                "Bagging-Date": f"{self.order.at:%Y-%m-%d}",
                "Contact-Name": self.order.made_by,
            },
            lambda _: tick(0, "Reading checksums"),
        )
        return Saved(
            folder=self.folder,
            files=files,
            size=size,
            rows=sum(count for _, count in self.counts),
            missing=self.notes.missing(),
        )

    def _dictionary(self, tick: Tick) -> None:
        with (
            csv_table(self.folder, DICTIONARY, DICTIONARY_HEAD) as line,
            csv_table(self.folder, CLOSED_LISTS, CLOSED_HEAD) as word,
        ):
            for kind, _ in self.present:
                for column in columns_of(kind, self.reach.hidden):
                    allowed = "; ".join(column.words.values())
                    table = f"{kind.name}.csv"
                    line((table, column.header, column.meaning, column.unit, column.type, allowed))
                    for code, said in column.words.items():
                        word((table, column.header, said, code, column.means.get(code, "")))

    def _table(self, kind: KindOfRecord, tick: Tick) -> None:
        columns = columns_of(kind, self.reach.hidden)
        head = [column.header for column in columns]
        has_history = hasattr(kind.model, "history")
        history = "history" if has_history else ""
        with (
            csv_table(self.folder, f"tables/{kind.name}.csv", head) as line,
            json_lines(self.folder, f"json/{kind.name}.jsonl") as whole,
        ):
            for rows in portions(self.reach.rows(kind), TABLE_PORTION):
                look_up_names(self.names, columns, rows)
                for row in rows:
                    line([plain(column, row, self.names) for column in columns])
                    whole({column.name: stored(column, row, self.names) for column in columns})
                tick(len(rows), f"Table of {kind.plural}")
        if history:
            self._history(kind, columns, tick)

    def _history(self, kind: KindOfRecord, columns: Any, tick: Tick) -> None:
        with csv_table(self.folder, f"history/{kind.name}.csv", HISTORY_HEAD) as line:
            for rows in portions(self.reach.rows(kind), TABLE_PORTION):
                look_up_names(self.names, columns, rows)
                self.names.look_up(kind.model, [row.pk for row in rows])
                changes = changes_by_row(kind, columns, rows, self.names)
                for row in rows:
                    name = self.names.of(kind.model, row.pk).text
                    for one in changes.get(row.pk, []):
                        when = plain_value(one.at)
                        line((str(row.uid), name, when, one.by, one.role, one.why, one.what))
                tick(0, f"History of {kind.plural}")

    def _pages(self, kind: KindOfRecord, tick: Tick) -> None:
        for rows in portions(self.reach.rows(kind)):
            for name, text in self.teller.pages(kind, rows):
                with payload_file(self.folder, name.file) as file:
                    file.write(text.encode())
                tick(1, f"Text of {kind.plural}")

    def _list(self, kind: KindOfRecord, tick: Tick) -> None:
        with payload_file(self.folder, f"lists/{'-'.join(kind.plural.split())}.txt") as file:
            title = f"{kind.plural[:1].upper()}{kind.plural[1:]}"
            file.write(f"{title}\n{'=' * len(title)}\n\n".encode())
            for rows in portions(self.reach.rows(kind)):
                for text in self.teller.listed(kind, rows):
                    file.write(text.encode())
                tick(len(rows), f"Text of {kind.plural}")

    def _readme(self) -> None:
        order = self.order
        titles = {model.__name__: called(model)[1] for model in record_models()}
        tables = [*NOT_PACKED.items()]
        if not order.scope.whole:
            tables += WHOLE_MUSEUM_ONLY.items()
        text = readme(
            About(
                title=order.title,
                museum=_museum(),
                about=order.about,
                made_at=moment_in_words(order.at),
                made_by=order.made_by,
                left_out=reasons(order.seen),
                tables_left_out=[(titles[name], why) for name, why in tables],
                missing=self.notes.missing(),
                counts=[(kind.plural, count) for kind, count in self.present],
            )
        )
        with payload_file(self.folder, README) as file:
            file.write(text.encode())


class _Told:
    """Passes a step's own parts on and never counts more of them than the step weighs."""

    def __init__(self, tick: Tick, step: Step) -> None:
        self._tick, self._step, self._left = tick, step, step.size

    def __call__(self, more: int, doing: str) -> None:
        more = min(more, self._left)
        self._left -= more
        self._tick(more, doing)

    def rest(self) -> None:
        self._tick(self._left, self._step.doing)
        self._left = 0


def _museum() -> str:
    return Museum.objects.values_list("name", flat=True).first() or "a museum without a name"
