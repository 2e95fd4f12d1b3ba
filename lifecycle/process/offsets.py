"""Days that are worked back beside those of the fourteen gates; each house sets its own."""

from dataclasses import dataclass
from datetime import date
from typing import Final

from lifecycle.process.facts.showing import Rules
from lifecycle.process.working_days import days_back


@dataclass(frozen=True, slots=True)
class Offset:
    """How many days before what something is needed; common practice while a house says nothing.

    ``before`` says in words from which day it is counted back.
    """

    code: str
    label: str
    days: int
    before: str
    working: bool = False

    def days_in(self, rules: Rules) -> int:
        return rules.days.get(self.code, self.days)

    def working_in(self, rules: Rules) -> bool:
        """Whether the days are counted in working days under these rules."""
        return self.code in rules.working if self.code in rules.days else self.working

    def before_day(self, end: date, rules: Rules) -> date:
        """Return the working day by which it is needed, worked back from ``end``."""
        working = self.working_in(rules)
        return days_back(end, self.days_in(rules), working=working, off=rules.days_off)


CONSENT: Final = Offset("C5", "consent", 10, "the start of treatment", working=True)
BENCH: Final = Offset(
    "B5", "treatment begun, while no hours are estimated", 10, "the end of treatment", working=True
)
TURN_FACSIMILE: Final = Offset("T7", "facsimile of the face that is hidden then", 21, "a turn")
TURN_MOUNT: Final = Offset("T8", "support of the next face", 21, "a turn")
HOUSED: Final = Offset("H14", "housing finished", 14, "closing")

OFFSETS: Final = (CONSENT, BENCH, TURN_FACSIMILE, TURN_MOUNT, HOUSED)
