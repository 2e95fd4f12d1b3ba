"""The starting vocabulary: the trade's terms with short definitions of our own."""

import csv
from dataclasses import dataclass
from pathlib import Path
from typing import Final

WORDS: Final = Path(__file__).parent / "start" / "words.csv"


@dataclass(frozen=True, slots=True)
class StartingWord:
    vocabulary: str
    code: str
    label: str
    group: str
    definition: str


def starting_words() -> list[StartingWord]:
    """Read the open lists a museum begins with; each museum edits its own copy afterwards."""
    with WORDS.open(encoding="utf-8", newline="") as lines:
        return [StartingWord(**row) for row in csv.DictReader(lines)]
