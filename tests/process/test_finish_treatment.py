"""Finishing a treatment rests on this showing's own check, and on the proposals of this leg."""

from dataclasses import replace
from datetime import date

import pytest

from lifecycle.process.facts.treatment import AskedAgainFacts
from lifecycle.process.finding_effects import AskedKind
from lifecycle.process.moves import MOVES
from lifecycle.process.stages import Role
from lifecycle.process.words import ReportKind
from tests.process.lawful import lawful

FINISH = MOVES["finish_treatment"]


def test_a_check_after_treatment_made_for_another_showing_does_not_serve() -> None:
    facts = lawful("finish_treatment")
    assert [one.code for one in FINISH.blockers(facts)] == []
    elsewhere = tuple(
        replace(one, this_showing=False) if one.kind is ReportKind.AFTER_TREATMENT else one
        for one in facts.reports
    )
    found = [one.code for one in FINISH.blockers(replace(facts, reports=elsewhere))]
    assert found == ["treatment.check"]


def test_a_proposal_for_after_display_does_not_hold_up_the_treatment_before_it() -> None:
    facts = lawful("finish_treatment")
    later = replace(
        facts.proposals[0], number="TP-0099", aftercare=not facts.aftercare, report_signed=False
    )
    both = replace(facts, proposals=(*facts.proposals, later))
    assert [one.code for one in FINISH.blockers(both)] == []


def test_a_proposal_that_was_never_sent_wants_no_report() -> None:
    facts = lawful("finish_treatment")
    draft = replace(facts.proposals[0], number="TP-0099", sent=False, report_signed=False)
    both = replace(facts, proposals=(*facts.proposals, draft))
    assert [one.code for one in FINISH.blockers(both)] == []


@pytest.mark.parametrize(("kind", "held"), [(AskedKind.CONSENT, True), (AskedKind.MOUNT, False)])
def test_a_finding_holds_up_the_end_of_treatment_only_where_it_asks_consent_again(
    kind: AskedKind, held: bool
) -> None:
    asked = AskedAgainFacts(
        uid="f",
        feature="F4",
        kind=kind,
        number="one",
        because="it was not known",
        role=Role.CURATOR,
        asked_on=date(2026, 1, 12),
    )
    facts = replace(lawful("finish_treatment"), asked_again=(asked,))
    found = [one.code for one in FINISH.blockers(facts)]
    assert found == (["finding.asked"] if held else [])
    ready = replace(lawful("declare_ready"), asked_again=(asked,))
    assert [one.code for one in MOVES["declare_ready"].blockers(ready)] == ["finding.asked"]
