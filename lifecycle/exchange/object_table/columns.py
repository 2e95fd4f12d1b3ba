"""The columns of a table of objects, the same for the template, what goes out and what comes in."""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Final

from lifecycle.records.models import MeasuredState


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its key, its heading, a line that explains it, other headings it goes by."""

    key: str
    heading: str
    says: str
    aliases: tuple[str, ...] = ()
    example: str = ""
    of_face: bool = False
    number: bool = False


#: A heading that names no state is taken for the object as it lies at rest.
_PLAIN: Final = " Also for what has no other state, such as a sheet or an instrument."


def _sizes() -> tuple[Column, ...]:
    return tuple(
        Column(
            f"size:{state.value}:{side}",
            f"{side} {state.label} [mm]",
            f"In millimetres, of the object {state.label}; a cell may say “6.5 cm”."
            + ("" if side == "depth" else " Height and width go together.")
            + (_PLAIN if state is MeasuredState.CLOSED else ""),
            (
                f"{side} ({state.label})",
                f"{state.label} {side}",
                f"{side} {state.label}",
                *((side,) if state is MeasuredState.CLOSED else ()),
            ),
            number=True,
        )
        for state in MeasuredState
        for side in ("height", "width", "depth")
    )


COLUMNS: Final[tuple[Column, ...]] = (
    Column(
        "object_number",
        "object number",
        "As it is marked on the object. It tells objects apart; make the column text.",
        ("number", "no", "no.", "inventory number", "inv. no.", "accession number", "object no"),
        "HCM.1911.2.7",
    ),
    Column("title", "title", "Needed for a new object.", ("name", "object name"), "The Rain Atlas"),
    Column(
        "object_type",
        "object type",
        "A word of the vocabulary ‘object type’. Needed for a new object.",
        ("type", "category", "kind"),
        "bound manuscript",
    ),
    Column("maker", "maker", "As catalogued.", ("artist", "author", "made by", "creator")),
    Column(
        "date", "date", "As catalogued, in words.", ("dated", "year", "date made"), "about 1911"
    ),
    Column(
        "numbers",
        "other numbers",
        "Whose number: the number; more than one parted by “;”.",
        ("other number", "old number", "former number"),
        "old: K 17; lender's: 4",
    ),
    Column(
        "owner", "owner", "“museum” or “lender”. Empty with a lender named: lender.", ("owned by",)
    ),
    Column("lender", "lender", "Name of the lender; empty for the museum's own.", ("lent by",)),
    Column(
        "materials",
        "materials",
        "Words of the vocabulary ‘material’, parted by “;”.",
        ("material", "medium", "media", "support"),
        "rag paper; iron-gall ink",
    ),
    Column(
        "techniques",
        "techniques",
        "Words of the vocabulary ‘technique’, parted by “;”.",
        ("technique",),
    ),
    Column("marks", "marks and inscriptions", "As found on it.", ("marks", "inscriptions")),
    Column(
        "weight",
        "weight [g]",
        "In grams; a cell may say “1.2 kg”.",
        ("weight", "mass"),
        number=True,
    ),
    *_sizes(),
    Column(
        "components",
        "components",
        "Parts that can be parted from it: name: description; parted by “;”.",
        ("parts", "component"),
        "cover: loose, red cloth; string",
    ),
    Column(
        "hazards",
        "hazards",
        "Hazard (tested, suspected or none found): what protects; parted by “;”. "
        "Without a word in brackets a hazard counts as suspected. An empty cell means not "
        "assessed, never none known.",
        ("hazard", "dangers", "health and safety"),
        "arsenic (tested): nitrile gloves",
    ),
    Column(
        "cautions",
        "handling cautions",
        "Printed on every sheet that travels with it; 240 letters.",
        ("handling", "caution"),
    ),
    Column(
        "orientation",
        "orientation rule",
        "any; flat, face up; flat, face down; upright only; as mounted. Empty: any.",
        ("orientation",),
    ),
    Column(
        "class",
        "sensitivity class",
        "A class of the house rules, by its name. Needs its basis.",
        ("light sensitivity", "class", "sensitivity"),
    ),
    Column(
        "class_basis",
        "basis of the class",
        "By material list, by test, by published category, or a cautious guess.",
        ("basis", "class basis"),
    ),
    Column(
        "light_passes",
        "light passes through",
        "yes or no: light on one face charges all faces.",
        ("transparent", "translucent"),
    ),
    Column(
        "moisture",
        "moisture caution",
        "yes or no: ink or media that may not meet moisture or solvent unasked.",
        ("moisture", "water sensitive"),
    ),
    Column(
        "place",
        "usual place",
        "The place with what it lies in, “Shelf 2, Bay 3, Main Store” or "
        "“Main Store > Bay 3 > Shelf 2”, or its short code. A new object is taken to lie there.",
        ("location", "store location", "place", "home location", "shelf", "usual location"),
    ),
    Column(
        "restricted",
        "cultural restriction",
        "Who may see or handle it; not on public sheets.",
        ("culturally restricted", "restriction"),
    ),
    Column(
        "community",
        "source community",
        "The community that is asked before any treatment, where that was agreed.",
        ("community", "originating community"),
    ),
    Column(
        "face",
        "face",
        "A side, opening or part that can be shown, by its name. More faces: a line for each, with "
        "the same object number.",
        ("face label", "opening", "folio", "side"),
        "ff. 31v-32r",
        of_face=True,
    ),
    Column(
        "face_kind",
        "face kind",
        "recto, verso, opening, page, plate, side or component. Empty: side.",
        ("kind of face",),
        "opening",
        of_face=True,
    ),
    Column(
        "landmark",
        "landmark of the face",
        "What one sees at top left, so that it can't hang upside down.",
        ("landmark", "top left"),
        of_face=True,
    ),
    Column(
        "angle",
        "widest opening [°]",
        "For books.",
        ("opening angle", "max opening"),
        of_face=True,
        number=True,
    ),
    Column(
        "face_class",
        "class of the face",
        "Where it differs from the object's.",
        ("face sensitivity class",),
        of_face=True,
    ),
    Column(
        "never", "never show", "yes or no; yes needs the reason.", ("do not show",), of_face=True
    ),
    Column("never_why", "why never shown", "The reason.", ("reason never shown",), of_face=True),
)
BY_KEY: Final[Mapping[str, Column]] = {column.key: column for column in COLUMNS}
#: Columns of what goes out that are never taken in: movements and moves write them.
LEFT_OUT: Final = ("where it is", "showing under way", "stage")

_BARE = re.compile(r"[^a-z0-9]+")
#: Units that a heading may name for all its cells; a unit in a cell goes before it.
_UNITS: Final = ("mm", "cm", "m", "g", "kg")


def _bare(heading: str) -> str:
    return _BARE.sub(" ", heading.casefold().replace("°", " deg")).strip()


def unit_of(heading: str) -> str:
    """The unit that a heading ends on, or nothing.

    >>> unit_of("Height (cm)"), unit_of("weight in kg"), unit_of("Height")
    ('cm', 'kg', '')
    """
    last = _bare(heading).rpartition(" ")[2]
    return last if last in _UNITS else ""


def _without_unit(heading: str) -> str:
    bare = _bare(heading)
    if unit_of(heading):
        bare = bare.rpartition(" ")[0].removesuffix(" in")
    return bare


def _by_heading() -> dict[str, str]:
    found: dict[str, str] = {}
    for column in COLUMNS:
        for alias in column.aliases:
            found.setdefault(_bare(alias), column.key)
    for column in COLUMNS:
        found[_bare(column.heading)] = column.key
    return found


_KEYS: Final = _by_heading()


def suggest(headings: Sequence[str], remembered: Mapping[str, str] | None = None) -> list[str]:
    """For each heading the column it is most likely meant for, or nothing; each column once.

    What was chosen for the same heading before wins, then the same words, then nearly the same.
    """
    before = remembered or {}
    taken: set[str] = set()
    chosen = [""] * len(headings)

    def take(n: int, key: str | None) -> None:
        if key and key in BY_KEY and key not in taken and not chosen[n]:
            chosen[n] = key
            taken.add(key)

    left_out = {_bare(heading) for heading in LEFT_OUT} | {
        _bare(heading) for heading, key in before.items() if not key
    }
    for n, heading in enumerate(headings):
        take(n, before.get(heading))
    for n, heading in enumerate(headings):
        if _bare(heading) not in left_out:
            take(n, _KEYS.get(_bare(heading)) or _KEYS.get(_without_unit(heading)))
    for n, heading in enumerate(headings):
        if _bare(heading) not in left_out:
            near = get_close_matches(_without_unit(heading), list(_KEYS), n=1, cutoff=0.88)
            take(n, _KEYS[near[0]] if near else None)
    return chosen


def parted(text: str) -> list[str]:
    """Entries of one cell, parted by “;” or a new line; “;;” is a semicolon inside an entry.

    >>> parted("rag paper; ink;; black")
    ['rag paper', 'ink; black']
    """
    marked = text.replace(";;", "\0").replace("\n", ";")
    return [one.replace("\0", ";").strip() for one in marked.split(";") if one.strip()]


def joined(entries: Iterable[str]) -> str:
    """The other way round."""
    return "; ".join(one.replace(";", ";;").replace("\n", " ") for one in entries)


def headed(entry: str) -> tuple[str, str]:
    """What stands before the first “:” of an entry, and what after; “::” is a colon before it.

    >>> headed("cover: loose, red cloth"), headed("box 2::1")
    (('cover', 'loose, red cloth'), ('box 2:1', ''))
    """
    head, _, rest = entry.replace("::", "\0").partition(":")
    return head.replace("\0", ":").strip(), rest.replace("\0", "::").strip()


def with_head(head: str, rest: str = "") -> str:
    """The other way round."""
    written = head.replace(":", "::")
    return f"{written}: {rest}" if rest else written
