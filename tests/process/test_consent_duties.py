"""Who is asked for a consent or on a deviation, by when, and who gets the answers of others."""

from dataclasses import replace
from datetime import date

import pytest

from lifecycle.process.duties.onward import HOUSED_DAYS
from lifecycle.process.facts.treatment import ConsentFacts, DeviationFacts
from lifecycle.process.stages import Role, Stage
from lifecycle.process.working_days import working_days_after
from tests.process.lawful import lawful, made, moment, put
from tests.process.test_duties import by_code, codes

R = Role


def test_consent_is_asked_of_each_named_person_for_ten_working_days() -> None:
    asked = ConsentFacts(
        role=R.CURATOR, person="Wen", person_id=6, asked_on=date(2026, 9, 1), decided=False
    )
    facts = put(lawful("begin_treatment"), "proposals.0.consents", (asked,))
    duty = by_code(facts, "consent.asked")
    assert (duty.people, duty.due_on) == (frozenset({6}), date(2026, 9, 15))
    assert duty.key == "consent:RQ-0007:TP-0031/2/curator"
    lapsed = replace(asked, decided=True, lapsed_on=date(2026, 9, 2), person_id=None)
    again = put(lawful("begin_treatment"), "proposals.0.consents", (lapsed,))
    assert by_code(again, "consent.asked").people == frozenset()
    treated = put(facts, "proposals.0.report_signed", True)
    assert "consent.asked" not in codes(treated)


def test_a_loan_s_lender_is_asked_and_the_registrar_gets_the_writing() -> None:
    asked = ConsentFacts(role=R.LENDER, asked_on=date(2026, 9, 1))
    facts = put(lawful("begin_treatment"), "proposals.0.consents", (asked,))
    duty = by_code(facts, "consent.writing")
    assert (duty.role, duty.due_on) == (R.REGISTRAR, date(2026, 9, 15))
    given = put(facts, "proposals.0.consents", (replace(asked, decided=True, agreed=True),))
    assert "consent.writing" not in codes(given)


def test_a_deviation_is_decided_within_two_days_by_whoever_has_not_agreed() -> None:
    one = DeviationFacts(
        uid="d", label="1 Sep mend", since=date(2026, 9, 1), waits_for=(R.HEAD_OF_COLLECTIONS,)
    )
    facts = put(lawful("finish_treatment"), "proposals.0.open_deviations", (one.label,))
    duty = by_code(put(facts, "proposals.0.deviations", (one,)), "deviation.asked")
    assert (duty.role, duty.due_on, duty.subject_uid) == (
        R.HEAD_OF_COLLECTIONS,
        date(2026, 9, 3),
        "d",
    )
    assert duty.stopped
    assert "treatment.deviation" not in codes(facts)


def test_the_registrar_gets_the_answer_of_a_source_community_nobody_else_is_asked_for_it() -> None:
    ferry = ConsentFacts(
        role=R.REGISTRAR, community="Tern Ferry families", asked_on=date(2026, 9, 1)
    )
    facts = put(lawful("begin_treatment"), "proposals.0.consents", (ferry,))
    duty = by_code(facts, "consent.community")
    assert (duty.role, duty.due_on) == (R.REGISTRAR, date(2026, 9, 15))
    assert "Tern Ferry families" in duty.text
    assert not {"consent.asked", "consent.writing"} & set(codes(facts))
    given = put(facts, "proposals.0.consents", (replace(ferry, decided=True, agreed=True),))
    assert "consent.community" not in codes(given)


@pytest.mark.parametrize(
    ("waits_for", "community", "whose"),
    [((), "Tern Ferry families", "Tern Ferry families"), ((R.LENDER,), "", "the lender")],
)
def test_the_answer_of_somebody_outside_on_a_deviation_is_the_registrars_to_get(
    waits_for: tuple[R, ...], community: str, whose: str
) -> None:
    one = DeviationFacts(
        uid="d",
        label="1 Sep mend",
        since=date(2026, 9, 1),
        waits_for=waits_for,
        community=community,
    )
    facts = put(lawful("finish_treatment"), "proposals.0.open_deviations", (one.label,))
    facts = put(facts, "proposals.0.deviations", (one,))
    duty = by_code(facts, "deviation.answer")
    assert (duty.role, duty.due_on, duty.subject_uid) == (R.REGISTRAR, date(2026, 9, 3), "d")
    assert f"answer of {whose} on" in duty.text
    curator = replace(one, waits_for=(R.CURATOR,), community="")
    assert "deviation.answer" not in codes(put(facts, "proposals.0.deviations", (curator,)))


def test_aftercare_is_not_late_for_an_install_long_past() -> None:
    """Five working days from the day it began, not five weeks before the object hung."""
    begun = made("aftercare", Stage.TREATMENT, moment(9, 14))
    facts = put(lawful("finish_treatment"), "journal", (begun,))
    facts = put(facts, "proposals.0.aftercare", True)
    facts = put(facts, "proposals.0.report_signed", False)
    assert by_code(facts, "treatment.report").due_on == working_days_after(
        date(2026, 9, 14), HOUSED_DAYS
    )
