"""How signed text is written: one fact a line, in a fixed order, units and moments in words.

The text must be readable without the tool and give the same digest on every machine: lines end
in a line feed, Unicode is in composed form (NFC), numbers carry no needless zeros, instants are
in UTC, and what was left empty says 'not stated'.
"""

import unicodedata
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any, Final

from django.db import models

NOT_STATED: Final = "not stated"
_MONTHS: Final = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)


def day_in_words(day: date) -> str:
    """Return a day as ``14 March 2026``, the same in every language setting."""
    return f"{day.day} {_MONTHS[day.month - 1]} {day.year}"


def moment_in_words(moment: datetime) -> str:
    """Return an instant as ``14 March 2026, 09:30:00 UTC``.

    :raises ValueError: if the moment has no time zone
    """
    if moment.tzinfo is None:
        raise ValueError("A moment in signed text needs its time zone.")
    in_utc = moment.astimezone(UTC)
    return f"{day_in_words(in_utc.date())}, {in_utc:%H:%M:%S} UTC"


def number_in_words(value: Decimal | float | int) -> str:
    """Return a number without needless zeros: ``14``, ``12.5``; the same on every database."""
    text = format(Decimal(str(value)).normalize(), "f")
    return "0" if text in {"-0", ""} else text


def clean(text: str) -> str:
    """Return text in composed form, line ends as line feeds, no blanks at line ends."""
    text = unicodedata.normalize("NFC", text).replace("\r\n", "\n").replace("\r", "\n")
    return "\n".join(line.rstrip() for line in text.split("\n")).strip("\n")


class Wording:
    """The names and labels of other rows as they stood at a moment (without one: as they stand).

    A person who marries, a term that gets a better label, a gallery that is renamed: the words
    that were signed stay the words that were signed, because history says what they were.
    """

    def __init__(self, at: datetime | None = None) -> None:
        self.at = at
        self._seen: dict[tuple[type[models.Model], int, str], str] = {}

    def of(self, row: models.Model | None, field: str) -> str:
        """Return ``field`` of ``row`` in words, or 'not stated' for no row or an empty field."""
        if row is None:
            return NOT_STATED
        key = (type(row), row.pk, field)
        if key not in self._seen:
            value = getattr(self._then(row), field)
            self._seen[key] = clean(str(value)) if value not in (None, "") else NOT_STATED
        return self._seen[key]

    def _then(self, row: models.Model) -> Any:
        history = getattr(row, "history", None)
        if self.at is None or history is None:
            return row
        past = history.filter(history_date__lte=self.at)
        return (
            past.order_by("-history_date", "-history_id").first()
            # Loaded later than it was true, as with old records: the first that is known.
            or history.order_by("history_date", "history_id").first()
            or row
        )


class Lines:
    """Collects the lines of one signed text."""

    def __init__(self, title: str, *, number: str = "", version: int | None = None) -> None:
        self._lines = [title]
        if number:
            self.say("Number", number)
        if version is not None:
            self.say("Version", str(version))

    def heading(self, text: str) -> None:
        self._lines += ["", clean(text)]

    def say(self, label: str, text: str) -> None:
        """One fact; text of several lines is indented below its label."""
        words = clean(text) or NOT_STATED
        if "\n" in words:
            indented = [f"    {line}" if line else "" for line in words.split("\n")]
            self._lines += [f"{label}:", *indented]
        else:
            self._lines.append(f"{label}: {words}")

    def prose(self, label: str, text: str) -> None:
        self.say(label, text)

    def moment(self, label: str, moment: datetime | None) -> None:
        self.say(label, NOT_STATED if moment is None else moment_in_words(moment))

    def day(self, label: str, day: date | None) -> None:
        self.say(label, NOT_STATED if day is None else day_in_words(day))

    def quantity(self, label: str, value: Decimal | float | int | None, unit: str = "") -> None:
        """A number with its unit written out: ``Length: 14 millimetres``."""
        words = NOT_STATED if value is None else f"{number_in_words(value)} {unit}".rstrip()
        self.say(label, words)

    def yes_no(self, label: str, value: bool | None) -> None:
        self.say(label, NOT_STATED if value is None else "yes" if value else "no")

    def text(self) -> str:
        return "\n".join(self._lines) + "\n"


def grouped(digest: str) -> str:
    """Return the foot of a paper: the first ten characters of a digest in groups of five."""
    return f"{digest[:5]} {digest[5:10]}".strip()
