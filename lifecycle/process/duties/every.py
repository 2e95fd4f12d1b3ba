"""All duties of one showing on the day of its facts."""

from collections.abc import Iterator
from typing import Final

from lifecycle.process.duties import gallery, open_ends
from lifecycle.process.duties.duty import Duty
from lifecycle.process.duties.onward import (
    before_the_next_move,
    facsimiles_in_hand,
    pictures_asked,
    slip_to_plan,
)
from lifecycle.process.facts.showing import ShowingFacts
from lifecycle.process.stages import CLOSED

RULES: Final = (
    pictures_asked,
    facsimiles_in_hand,
    before_the_next_move,
    slip_to_plan,
    open_ends.hold_to_settle,
    open_ends.consent_asked,
    open_ends.deviation_asked,
    open_ends.asked_again,
    gallery.reading_due,
    gallery.look_due,
    gallery.flag_to_answer,
    gallery.turns,
    gallery.turn_to_plan,
    gallery.days_in_hand,
    gallery.housing_to_make,
    open_ends.arrival_to_confirm,
    open_ends.paper_to_read_back,
    open_ends.report_to_sign,
    open_ends.part_a_to_countersign,
    open_ends.incident_to_close,
    open_ends.waiver_ending,
    open_ends.loan_ending,
)
"""Each rule looks at the facts and nothing else; its days are common practice or our own."""


def duties(facts: ShowingFacts) -> Iterator[Duty]:
    """Yield what somebody can do for this showing now, each duty once; nothing when it is closed.

    A duty vanishes when the fact that asked for it changes; none is ever stored.
    """
    if facts.stage is None or facts.stage in CLOSED:
        return
    found = (duty for rule in RULES for duty in rule(facts))
    yield from {duty.key: duty for duty in found}.values()
