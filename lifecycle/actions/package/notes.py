"""What a package that is being written remembers on the disk: steps done, things not to be had."""

import json
from pathlib import Path

STEPS = "steps-done.txt"
MISSING = "missing.jsonl"


class Notes:
    """Kept in a folder beside the package, so that another worker can take the work up."""

    def __init__(self, folder: Path) -> None:
        folder.mkdir(parents=True, exist_ok=True)
        self._steps, self._missing = folder / STEPS, folder / MISSING
        self._done = set(_lines(self._steps))

    def is_done(self, key: str) -> bool:
        return key in self._done

    def done(self, key: str) -> None:
        self._done.add(key)
        with self._steps.open("a", encoding="utf-8") as file:
            file.write(f"{key}\n")

    def miss(self, what: str) -> None:
        """Note something that should be in the package and could not be had."""
        with self._missing.open("a", encoding="utf-8") as file:
            file.write(json.dumps(what) + "\n")

    def missing(self) -> list[str]:
        """Everything that could not be had, once each (a step may have been begun twice)."""
        return list(dict.fromkeys(json.loads(line) for line in _lines(self._missing)))


def _lines(path: Path) -> list[str]:
    return path.read_text(encoding="utf-8").splitlines() if path.exists() else []
