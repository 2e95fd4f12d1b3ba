"""What the register of signed records knows of one kind of record."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from lifecycle.queries.signed_text.lines import Wording
from lifecycle.records.signable import Signable


@dataclass(frozen=True, slots=True, kw_only=True)
class SignedKind:
    """``name`` stands on every signature for ever; ``text`` writes the words of one record."""

    name: str
    label: str
    model: type[Signable]
    text: Callable[[Any, Wording], str]
    number: Callable[[Any], str]
