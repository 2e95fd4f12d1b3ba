"""Names of files and folders that every system can hold, and that stay unique when cut.

Letters are brought to plain ASCII capitals, small letters, digits, full stop, hyphen and
underscore (a safe subset of what POSIX, Windows and ISO 9660 level 4 allow); the true name stands
inside the file.
"""

import re
import unicodedata
from typing import Final
from uuid import UUID

LONGEST: Final = 80
_MARK: Final = 12
_UNSAFE: Final = re.compile(r"[^A-Za-z0-9._-]+")
_SPELT: Final = {
    "ß": "ss", "æ": "ae", "Æ": "AE", "œ": "oe", "Œ": "OE", "ø": "o", "Ø": "O", "ł": "l", "Ł": "L",
    "đ": "d", "Đ": "D", "ð": "d", "þ": "th", "Þ": "Th", "ı": "i",
}  # fmt: skip
# Names of devices, which Windows reserves whatever comes after a full stop.
_RESERVED: Final = re.compile(r"(?i)(con|prn|aux|nul|com[0-9]|lpt[0-9])(\.|$)")


def folded(text: str) -> str:
    """Return text in the safe letters, words parted by hyphens; may be empty."""
    spelt = "".join(_SPELT.get(letter, letter) for letter in text)
    parts = unicodedata.normalize("NFKD", spelt)
    plain = "".join(letter for letter in parts if not unicodedata.combining(letter))
    return re.sub(r"-{2,}", "-", _UNSAFE.sub("-", plain)).strip("-._ ")


def safe_name(text: str, uid: UUID) -> str:
    """Return a file name (without its ending) for a record that is called ``text``.

    A name that is safe as it stands is kept. One that had to be changed, that would differ from
    another in capitals only, or that was cut, carries the first letters of the record's lasting
    mark, so that two records never share a file.
    """
    name = folded(text)
    kept = name and name == text and name == name.upper() and len(name) <= LONGEST
    if kept and not _RESERVED.match(name):
        return name
    mark = uid.hex[:_MARK]
    short = name[: LONGEST - _MARK - 1].rstrip("-._ ")
    return f"{short}-{mark}" if short and not _RESERVED.match(short) else f"record-{mark}"


def described(parts: list[str], uid: UUID, suffix: str) -> str:
    """Return a file name that says what is in it: the parts, then the record's mark."""
    words = "--".join(part for part in (folded(one.replace("_", "-")) for one in parts) if part)
    short = words[: LONGEST - _MARK - 2].rstrip("-._ ") or "file"
    if _RESERVED.match(short):
        short = f"file-{short}"
    return f"{short}--{uid.hex[:_MARK]}.{suffix}"
