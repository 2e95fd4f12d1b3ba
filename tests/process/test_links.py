"""Needed-by dates worked back, whose each thing is, and the first late link.

Outside check: the table of dates was worked by hand on a wall calendar of 2025, 2026 and 2028; Good
Friday and Easter Monday of 2026 are 3 and 6 April.
"""

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from lifecycle.process.duties import duties
from lifecycle.process.facts.display import AppointmentFacts, OnShow
from lifecycle.process.facts.preparation import FacsimileFacts, MountFacts
from lifecycle.process.facts.showing import Rules, ShowingFacts
from lifecycle.process.links import Link
from lifecycle.process.readiness import GateMark, first_late, readiness_of
from lifecycle.process.stages import Stage
from lifecycle.process.working_days import days_back
from tests.process.lawful import FULL, A, B, lawful, put

OFF = frozenset(
    {
        date(2025, 12, 25),
        date(2025, 12, 26),
        date(2026, 1, 1),
        date(2026, 2, 25),
        date(2026, 4, 3),
        date(2026, 4, 6),
    }
)
BY_HAND = [
    # counted back from, days, in working days, needed by
    (date(2026, 3, 2), 5, False, date(2026, 2, 24)),  # Wed 25 Feb is off: Tuesday
    (date(2026, 3, 2), 10, True, date(2026, 2, 13)),  # over two weekends and the day off
    (date(2026, 3, 2), 1, False, date(2026, 2, 27)),  # a Sunday: Friday
    (date(2026, 4, 7), 1, True, date(2026, 4, 2)),  # over Easter: Maundy Thursday
    (date(2026, 4, 7), 1, False, date(2026, 4, 2)),  # Easter Monday: Thursday again
    (date(2026, 1, 5), 6, True, date(2025, 12, 23)),  # over New Year and Christmas
    (date(2026, 9, 6), 28, False, date(2026, 8, 7)),  # a Sunday: Friday
    (date(2026, 6, 8), 21, False, date(2026, 5, 18)),  # Monday to Monday
    (date(2028, 3, 1), 1, True, date(2028, 2, 29)),  # a leap year
    (date(2026, 3, 14), 0, False, date(2026, 3, 13)),  # a Saturday itself
    (date(2026, 3, 14), 0, True, date(2026, 3, 13)),
]

TURN_LESS_21 = date(2026, 5, 18)


@pytest.mark.parametrize(("end", "days", "working", "wanted"), BY_HAND)
def test_days_are_worked_back_over_weekends_and_days_off_as_by_hand(
    end: date, days: int, working: bool, wanted: date
) -> None:
    assert days_back(end, days, working=working, off=OFF) == wanted


def hanging(today: date, **rules: Any) -> ShowingFacts:
    """The diary with opening A on show since March and a turn to B planned for 8 June."""
    turn = AppointmentFacts(uid="t", kind=OnShow.TURN, day=date(2026, 6, 8), to_face_id=B)
    facts = put(FULL, "display.appointments", (turn,))
    facts = put(facts, "display.face_shown", A)
    facts = replace(facts, stage=Stage.ON_DISPLAY, today=today)
    return replace(facts, rules=replace(Rules(), **rules)) if rules else facts


def without_second_support(facts: ShowingFacts) -> ShowingFacts:
    """One cradle fits A; the second is with its maker."""
    fits = MountFacts(uid="m", number="MT-1", fits=frozenset({A}), faces=frozenset({A}))
    second = MountFacts(uid="n", number="MT-2", faces=frozenset({B}), person="Rufus Tiller")
    return put(facts, "preparation.mounts", (fits, second))


def without_facsimile_of(facts: ShowingFacts, face: int, person: str = "") -> ShowingFacts:
    made = [one for one in facts.preparation.facsimiles if one.face_id != face]
    asked = FacsimileFacts(uid="f", face_id=face, number="FX-9", person=person)
    return put(facts, "preparation.facsimiles", (*made, asked))


def links(facts: ShowingFacts, gate: str) -> list[Link]:
    return [link for cell in readiness_of(facts) for link in cell.links if link.gate == gate]


def test_the_second_cradle_is_late_with_its_makers_name_although_the_object_hangs() -> None:
    """Needed three weeks before the turn of 8 June: on 18 May."""
    facts = without_second_support(hanging(date(2026, 5, 27)))
    (link,) = links(facts, "G8")
    assert (link.owner, link.named) == ("Rufus Tiller", True)
    assert (link.needed_by, link.late_by) == (date(2026, 5, 18), 9)
    cells = {cell.gate.code: cell for cell in readiness_of(facts)}
    assert cells["G8"].mark is GateMark.WITH_SOMEONE
    assert cells["G8"].late_by == 9
    early = without_second_support(hanging(date(2026, 5, 18)))
    assert links(early, "G8")[0].late_by == 0


def test_the_facsimile_of_the_face_that_the_turn_hides_is_late_with_its_owners_name() -> None:
    facts = without_facsimile_of(hanging(date(2026, 5, 27)), A, "Wen Castellane")
    (link,) = links(facts, "G7")
    assert (link.owner, link.needed_by, link.late_by) == ("Wen Castellane", date(2026, 5, 18), 9)


def test_what_was_hidden_at_the_opening_is_a_gap_by_now_and_late_for_nothing() -> None:
    (link,) = links(without_facsimile_of(hanging(date(2026, 5, 27)), B), "G7")
    assert (link.presses, link.late_by) == (False, 0)


def test_the_support_of_the_face_that_hangs_presses_no_more() -> None:
    facts = put(hanging(date(2026, 5, 27)), "preparation.mounts", ())
    late = {link.about: link.late_by for link in links(facts, "G8")}
    assert sorted(late.values()) == [0, 9]


def test_a_day_that_somebody_named_brings_it_forward_and_never_puts_it_off() -> None:
    facts = without_second_support(hanging(date(2026, 5, 27)))
    for named, needed in ((date(2026, 5, 4), date(2026, 5, 4)), (date(2026, 6, 1), TURN_LESS_21)):
        asked = put(facts, "preparation.mounts.1.needed_by", named)
        assert links(asked, "G8")[0].needed_by == needed
        copy = without_facsimile_of(facts, A)
        copy = put(copy, "preparation.facsimiles.1.needed_by", named)
        assert links(copy, "G7")[0].needed_by == needed


def test_before_the_install_every_face_is_asked_for_by_then() -> None:
    facts = without_second_support(replace(lawful("declare_ready"), today=date(2026, 2, 12)))
    (link,) = links(facts, "G8")
    assert link.needed_by == date(2026, 2, 9), "21 days before Monday 2 March"
    assert link.late_by == 3


def test_the_first_late_link_is_the_one_needed_first() -> None:
    facts = without_second_support(replace(lawful("declare_ready"), today=date(2026, 2, 20)))
    facts = put(facts, "proposals.0.report_signed", True)
    facts = put(facts, "preparation.imaging.0.accepted", False)
    facts = put(facts, "preparation.imaging.0.person", "Ada Kestrel")
    facts = put(facts, "preparation.imaging.0.due_on", date(2026, 2, 3))
    first = first_late(readiness_of(facts))
    assert first is not None
    assert (first.gate, first.owner, first.late_by) == ("G6", "Ada Kestrel", 17)
    assert first_late(readiness_of(lawful("send_home"))) is None


def test_while_nobody_is_named_the_role_is_said() -> None:
    facts = put(lawful("declare_ready"), "preparation.caption.approved", False)
    (link,) = links(facts, "G9")
    assert (link.owner, link.named) == ("curator", False)
    named = put(facts, "preparation.caption.person", "Wen Castellane")
    assert links(named, "G9")[0].owner == "Wen Castellane"


def test_house_rules_set_days_units_and_days_off() -> None:
    rules: dict[str, Any] = {"days": {"T8": 5}, "working": frozenset({"T8"})}
    rules["days_off"] = frozenset({date(2026, 6, 4)})
    facts = without_second_support(hanging(date(2026, 5, 27), **rules))
    assert links(facts, "G8")[0].needed_by == date(2026, 5, 29), "Thu 4 June is off"


def test_housing_is_chased_from_the_day_of_its_gate_and_done_by_the_house_rule() -> None:
    """Closing on Sunday 6 September: chased from Friday 7 August, done by Friday 21 August."""
    facts = put(hanging(date(2026, 8, 6)), "preparation.housing.fits", False)
    assert not [duty for duty in duties(facts) if duty.code == "housing.fits"]
    (duty,) = [
        d for d in duties(replace(facts, today=date(2026, 8, 7))) if d.code == "housing.fits"
    ]
    assert duty.due_on == date(2026, 8, 21)
    sooner = replace(facts, rules=Rules(days={"G14": 56, "H14": 7}))
    (duty,) = [d for d in duties(sooner) if d.code == "housing.fits"]
    assert duty.due_on == date(2026, 8, 28)
