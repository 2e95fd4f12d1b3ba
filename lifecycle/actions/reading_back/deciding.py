"""What of a sheet goes into the record: taken, or left, or asked of the person who reads it back.

A field that nobody touched since the sheet was printed takes what the sheet says. A field that
somebody wrote meanwhile is asked about: the sheet's word and the record's stand side by side.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, Final

from lifecycle.actions.refusals import Reason, Refused
from lifecycle.process.stages import Role
from lifecycle.queries.clock import museum_zone, on_the_clock
from lifecycle.records.base import Kept
from lifecycle.records.models import Document, Person, Print

SHEET: Final = "sheet"
RECORD: Final = "record"
#: The code of a reason that is answered by choosing between the two.
DIFFERS: Final = "paper.differs"


@dataclass(frozen=True, slots=True, kw_only=True)
class Filled:
    """One question of the sheet with what stands on it; no box and no word is an empty answer."""

    key: str
    part: str
    label: str
    answer: tuple[str, ...] = ()

    def as_data(self) -> dict[str, str]:
        return {
            "key": self.key,
            "part": self.part,
            "label": self.label,
            "answer": "; ".join(self.answer),
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Writer:
    """Who reads the sheet back, who wrote on it, the two times, and the scan of it."""

    by: Person
    role: Role
    at: datetime
    observed_at: datetime
    written_by: Person | None = None
    scan: Document | None = None

    @property
    def signed(self) -> dict[str, Any]:
        """The keywords that every action takes."""
        return {"by": self.by, "role": self.role, "at": self.at}


@dataclass(slots=True)
class Deciding:
    """The answers of one sheet, the choices made, and what came of each."""

    print: Print
    writer: Writer
    answers: Mapping[str, tuple[str, ...]]
    choices: Mapping[str, str]
    reasons: list[Reason] = field(default_factory=list)
    lines: list[dict[str, str]] = field(default_factory=list)
    targets: list[str] = field(default_factory=list)

    def text(self, key: str) -> str:
        """What is written on a line; boxes that are ticked are named one after the other."""
        return "; ".join(self.answers.get(key, ())).strip()

    def ticked(self, key: str) -> tuple[str, ...]:
        return self.answers.get(key, ())

    def says_anything(self, *beginnings: str) -> bool:
        """Whether anything stands on the sheet where a key begins so."""
        return any(
            answer and any(key.startswith(one) for one in beginnings)
            for key, answer in self.answers.items()
        )

    def one(self, key: str, label: str) -> str:
        """The one box that is ticked; two are asked about."""
        ticked = self.ticked(key)
        if len(ticked) > 1:
            text = f"{label}: {' and '.join(ticked)} are both ticked; leave the one that counts."
            self.refuse(text, key)
            return ""
        return ticked[0] if ticked else ""

    def moment(self, key: str) -> datetime | None:
        """Day and time on the museum's clock: 2026-06-02 14:30; empty: the time on the sheet."""
        written = self.text(key)
        if not written:
            return None
        try:
            wall = datetime.fromisoformat(written)
        except ValueError:
            self.refuse(f"“{written}” is no day and time: write it as 2026-06-02 14:30.", key)
            return None
        try:
            return on_the_clock(wall, museum_zone())
        except ValueError as never:
            self.refuse(f"“{written}”: {never}", key)
            return None

    def refuse(self, text: str, key: str) -> None:
        self.reasons.append(Reason(text, key, "paper.unclear"))

    def carry_over(self, refused: Refused, key: str) -> None:
        """Put what an action refuses beside the line of the sheet it comes from."""
        self.reasons += [Reason(one.text, key, one.code) for one in refused.reasons]

    def wants(self, key: str, label: str, sheet: str, now: str, then: str | None) -> bool:
        """Whether the sheet's word goes into the record.

        :param now: what the record says, in the words of the sheet
        :param then: what it said when the sheet was printed; None when it was not there yet
        """
        if not sheet or sheet == now:
            return False
        choice = SHEET if not now or now == then else self.choices.get(key, "")
        if choice not in {SHEET, RECORD}:
            text = (
                f"{label}: the sheet says “{sheet}”; the record says “{now}”, written since "
                f"{self.print.print_no} was printed. Choose which of them stands."
            )
            self.reasons.append(Reason(text, key, DIFFERS))
            return False
        self.note(key, label, sheet, now, choice)
        return choice == SHEET

    def note(self, key: str, label: str, sheet: str, record: str, stands: str) -> None:
        """Keep what came of one line, beside the return."""
        self.lines.append(
            {"key": key, "label": label, "sheet": sheet, "record": record, "stands": stands}
        )


def as_printed(row: Kept, printed_at: datetime) -> Any:
    """The row as it stood when the sheet was printed; None when it was not there yet."""
    history: Any = row.history  # type: ignore[attr-defined]
    try:
        return history.as_of(printed_at)
    except type(row).DoesNotExist:
        return None
