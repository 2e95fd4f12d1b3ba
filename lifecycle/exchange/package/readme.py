"""The README of a package: plain words for somebody who has nothing but this folder."""

from collections.abc import Sequence
from dataclasses import dataclass
from textwrap import wrap
from typing import Final

README: Final = "README.txt"
WIDTH: Final = 92


@dataclass(frozen=True, slots=True, kw_only=True)
class About:
    """What the README says of one package; texts are whole sentences or names."""

    title: str
    museum: str
    about: str
    made_at: str
    made_by: str
    left_out: Sequence[str]
    tables_left_out: Sequence[tuple[str, str]]
    missing: Sequence[str]
    counts: Sequence[tuple[str, int]]


_FOLDERS: Final = (
    ("records", "One text file for each record, in a folder for each kind of record. Open it with "
     "any program that shows text. Each line is one fact: its name, a colon, what was written. "
     "What was left empty is not listed. Below a word from a list stands its definition in "
     "brackets. The history at the end of a part says who changed it, in which role, when and "
     "why."),
    ("lists", "What is better told together: people, words and their definitions, instruments, "
     "materials, pictures, scans, signatures."),
    ("signed-words", "The exact words that people signed. The SHA-256 of such a file is the "
     "digest of the signature."),
    ("printed-words", "The exact words of every paper that was printed."),
    ("papers", "The printed papers themselves as PDF, drawn from their kept words."),
    ("pictures", "Photographs and drawings as they were kept, at full size. The name says object, "
     "face, purpose, light and day."),
    ("marks", "Where the findings of each condition report lie on its pictures, as Web "
     "Annotations (W3C Web Annotation Data Model, JSON-LD): in pixels of the picture named, and "
     "in words."),
    ("scans", "Scans and documents, among them papers signed in ink."),
    ("tables", "The same records as tables (CSV: values parted by commas, text in UTF-8), one "
     "table for each kind; any spreadsheet opens them. DATA-DICTIONARY.csv says for each table "
     "and column what it means, its unit, its type and the words it may hold. CLOSED-LISTS.csv "
     "defines these words. An apostrophe at the beginning of a cell was put there where a "
     "spreadsheet would otherwise compute the text; it is not in the record."),
    ("history", "Every change of every record as tables: when, who, in which role, why, what."),
    ("json", "The same records for a machine: one JSON object a line, codes and marks as kept."),
)  # fmt: skip


def readme(about: About) -> str:
    """Return the text of the README; lines are no longer than 92 characters."""
    lines = [about.title, "=" * min(len(about.title), WIDTH), ""]
    _say(lines, about.about)
    _say(
        lines,
        f"Made by {about.made_by} for {about.museum} on {about.made_at}, with Showrest, a program "
        "for bringing museum objects safely on display and back. The program is not needed to "
        "read this: everything here is plain text, tables, pictures and PDFs.",
    )
    _say(
        lines,
        "The records were read one kind after another while people may have been at work: what "
        "was written in the minutes after that moment may stand in one file and not in another.",
    )
    _head(lines, "What each folder holds")
    for folder, text in _FOLDERS:
        _item(lines, f"{folder}/", text)
    _item(
        lines,
        "DIGESTS.csv",
        "Every digest at the foot of a paper and under a signature, and which file it comes from.",
    )
    _head(lines, "How much there is")
    for what, count in about.counts:
        lines.append(f"  {count:>8}  {what}")
    _units(lines)
    _checking(lines)
    _left_out(lines, about)
    return "\n".join(lines) + "\n"


def _units(lines: list[str]) -> None:
    _head(lines, "Moments, units and marks")
    _say(
        lines,
        "Moments are in Coordinated Universal Time (UTC); days are days of the museum. Units are "
        "written out. Light is given as illuminance in lux; light over time in lux hours: one "
        "hour at 50 lux is 50 lux hours. Ultraviolet is given in microwatt per lumen. Where three "
        "values stand side by side, low, likely and high, the true value was not measured.",
    )
    _say(
        lines,
        "A lasting mark (a long row of letters and digits with hyphens) names one record for "
        "ever; the files in json/ point to one another by it.",
    )


def _checking(lines: list[str]) -> None:
    _head(lines, "How to check that nothing was changed or lost")
    _say(
        lines,
        "This folder is a ‘bag’ after RFC 8493 (BagIt, version 1.0): beside the folder ‘data’ "
        "stands manifest-sha256.txt with the SHA-256 of every file in it. On most systems, from "
        "the folder that holds manifest-sha256.txt:",
    )
    lines += ["    sha256sum -c manifest-sha256.txt", ""]
    _say(lines, "Any program that checks bags will do the same.")
    _head(lines, "How to recompute the digest at the foot of a paper")
    _say(
        lines,
        "At the foot of each page stand the version and the first ten characters of a digest, in "
        "two groups of five. Look up the print number in DIGESTS.csv: it names a text file. From "
        "the folder that holds this README:",
    )
    lines += ["    sha256sum signed-words/condition-reports/NAME-OF-THE-FILE.txt", ""]
    _say(
        lines,
        "The result begins with the characters at the foot of the paper. If it does not, either "
        "the file or the paper is not what it was. SHA-256 is described in FIPS 180-4; the file "
        "must not be saved anew by an editor, since one changed letter or line end changes it.",
    )


def _left_out(lines: list[str], about: About) -> None:
    _head(lines, "What is not in this package")
    if about.left_out:
        _say(lines, "On purpose, and for the privacy or safety of people and objects:")
        for what in about.left_out:
            _item(lines, "-", what)
    for what, why in about.tables_left_out:
        _item(lines, f"- {what}:", why)
    if about.missing:
        _head(lines, "What should be here and could not be had")
        for what in about.missing:
            _item(lines, "-", what)


def _head(lines: list[str], text: str) -> None:
    lines += ["", text, "-" * len(text)]


def _say(lines: list[str], text: str) -> None:
    lines += [*wrap(text, WIDTH), ""]


def _item(lines: list[str], what: str, text: str) -> None:
    lines += wrap(f"{what} {text}", WIDTH, initial_indent="  ", subsequent_indent="      ")
