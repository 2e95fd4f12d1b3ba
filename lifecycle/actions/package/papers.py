"""The part of a package that is taken over byte by byte: signed words, papers, pictures, scans."""

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, Final

from django.core.files.storage import default_storage

from lifecycle.actions.package.notes import Notes
from lifecycle.exchange.package.bag import payload_file, payload_path
from lifecycle.exchange.package.tables import DIGESTS, DIGESTS_HEAD, csv_table
from lifecycle.papers.fonts.catalogue import FontFault
from lifecycle.papers.printed import draw_print, pictures_in, words_of
from lifecycle.papers.words.stored import WordsFault, plain_text
from lifecycle.queries.package.kinds import kind_of
from lifecycle.queries.package.naming import Names
from lifecycle.queries.package.scope import Reach
from lifecycle.queries.package.signed import (
    SignedWords,
    beside_kinds,
    signed_beside,
    signed_file,
    signed_kinds,
)
from lifecycle.queries.package.telling import portions
from lifecycle.queries.papers_out import picture_source
from lifecycle.queries.pictures import document_path, picture_path
from lifecycle.queries.signed_text.lines import grouped
from lifecycle.queries.signed_text.registry import digest_of
from lifecycle.records.models import Document, Picture, Print

Tick = Callable[[int, str], None]
Steps = Iterator[tuple[str, str, int, Callable[[Tick], None]]]
#: A paper is drawn anew, which takes as long as many lines of a table.
PAPER_WEIGHT: Final = 20


def steps_of(folder: Path, reach: Reach, names: Names, notes: Notes) -> Steps:
    """Yield the steps of this part: key, what is being done, weight, and the work itself."""
    taking = _Taking(folder, reach, names, notes)
    prints = taking.prints.count()
    yield "papers", "Drawing papers", prints * PAPER_WEIGHT, taking.draw_papers
    yield "digests", "Signed and printed words", taking.signed_count() + prints, taking.words
    for model, do in ((Picture, taking.take_pictures), (Document, taking.take_scans)):
        kind = kind_of(model)
        yield kind.plural, f"Taking over {kind.plural}", reach.rows(kind).count(), do


class _Taking:
    def __init__(self, folder: Path, reach: Reach, names: Names, notes: Notes) -> None:
        self.folder, self.reach, self.names, self.notes = folder, reach, names, notes
        self.prints = reach.rows(kind_of(Print))

    def draw_papers(self, tick: Tick) -> None:
        """Draw every print from its kept words; one that is drawn already is left as it is."""
        for rows in portions(self.prints, 50):
            for row in rows:
                if not payload_path(self.folder, _pdf(row)).exists():
                    self._draw(row)
                tick(PAPER_WEIGHT, f"Drawing papers: {row.print_no}")

    def _draw(self, row: Print) -> None:
        try:
            words = words_of(row.paper, row.words)
            source = picture_source(pictures_in(words))
            drawn = draw_print(row.paper, row.words, page_size=row.page_size, pictures=source)
        except (FontFault, WordsFault) as fault:
            self.notes.miss(f"The PDF of {row.print_no} could not be drawn: {fault}")
            return
        with payload_file(self.folder, _pdf(row)) as file:
            file.write(drawn.pdf)

    def signed_count(self) -> int:
        signed = (self.reach.rows(kind).exclude(digest="").count() for kind in signed_kinds())
        return sum(signed)

    def words(self, tick: Tick) -> None:
        """Write signed and printed words and the list of digests that come from them."""
        with csv_table(self.folder, DIGESTS, DIGESTS_HEAD) as line:
            for one in self._signed():
                kept = self._keep_words(one)
                line((one.what, grouped(one.digest), one.digest, kept, ""))
                tick(1, "Signed words")
            for rows in portions(self.prints, 50):
                signed = self._files_of_signed(rows)
                for row in rows:
                    line(self._printed(row, signed.get(row.digest, "")))
                    tick(1, "Printed words")

    def _signed(self) -> Iterator[SignedWords]:
        for kind in signed_kinds():
            for rows in portions(self.reach.rows(kind).exclude(digest="")):
                self.names.look_up(kind.model, [row.pk for row in rows])
                for row in rows:
                    name = self.names.of(kind.model, row.pk)
                    file = signed_file(kind, name.file, row)
                    yield SignedWords(
                        file=file, what=name.text, digest=row.digest, words=row.signed_text
                    )
        for kind in beside_kinds():
            yield from signed_beside(kind, self.reach.rows(kind))

    def _keep_words(self, one: SignedWords) -> str:
        if one.words is None or digest_of(one.words) != one.digest:
            self.notes.miss(f"The words of the {one.what} no longer give the digest {one.digest}.")
        if one.words is None:
            return "the words were not kept"
        with payload_file(self.folder, one.file) as file:
            file.write(one.words.encode())
        return one.file

    def _files_of_signed(self, prints: list[Print]) -> dict[str, str]:
        """Digest to file, for the prints of signed records; one question for each kind."""
        found: dict[str, str] = {}
        digests = {row.digest for row in prints}
        for kind in signed_kinds():
            rows = list(self.reach.rows(kind).filter(digest__in=sorted(digests)))
            self.names.look_up(kind.model, [row.pk for row in rows])
            for row in rows:
                found[row.digest] = signed_file(kind, self.names.of(kind.model, row.pk).file, row)
        return found

    def _printed(self, row: Print, signed: str) -> tuple[str, ...]:
        what = f"print {row.print_no} of {row.record_no}, version {row.record_version}"
        try:
            words = plain_text(words_of(row.paper, row.words))
        except WordsFault as fault:
            self.notes.miss(f"The words of {row.print_no} can't be read: {fault}")
            return (what, grouped(row.digest), row.digest, signed, "")
        name = f"printed-words/{row.print_no}.txt"
        with payload_file(self.folder, name) as file:
            file.write(words.encode())
        source = signed or name
        if not signed and digest_of(words) != row.digest:
            source = "the words that give it are not in this package"
            self.notes.miss(f"The digest of {row.print_no} does not come from its printed words.")
        drawn = _pdf(row) if payload_path(self.folder, _pdf(row)).exists() else ""
        return (what, grouped(row.digest), row.digest, source, drawn)

    def take_pictures(self, tick: Tick) -> None:
        """Copy every picture at full size, under a name that says what it shows."""
        self._take(Picture, lambda row: picture_path(row.sha256, "original", row.mime), tick)

    def take_scans(self, tick: Tick) -> None:
        """Copy every scan and document."""
        self._take(Document, lambda row: document_path(row.sha256, row.mime), tick)

    def _take(self, model: Any, path: Callable[[Any], str], tick: Tick) -> None:
        kind = kind_of(model)
        for rows in portions(self.reach.rows(kind)):
            self.names.look_up(model, [row.pk for row in rows])
            for row in rows:
                name = self.names.of(model, row.pk)
                there = payload_path(self.folder, name.file)
                if not there.exists():
                    self._copy(path(row), name.file)
                tick(1, f"Taking over {kind.plural}")

    def _copy(self, source: str, name: str) -> None:
        try:
            with default_storage.open(source) as kept, payload_file(self.folder, name) as file:
                shutil.copyfileobj(kept, file, 1 << 20)
        except FileNotFoundError:
            self.notes.miss(f"The file of {name} is missing from the store.")


def _pdf(row: Print) -> str:
    return f"papers/{row.print_no}.pdf"
