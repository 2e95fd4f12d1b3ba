"""What a gate says when something is missing: a stable code, a sentence, who mends it, about what.

The code names a page that mends it (``queries/errands.py``); code and ``about`` together are the
key of a waiver. The sentence names the object and something a person can go and do.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from lifecycle.process.facts.showing import ShowingFacts
from lifecycle.process.stages import Role


@dataclass(frozen=True, slots=True)
class Blocker:
    code: str
    text: str
    role: Role
    about: str = ""

    @property
    def key(self) -> str:
        return f"{self.code}:{self.about}" if self.about else self.code


Gate = Callable[[ShowingFacts], Iterator[Blocker]]
