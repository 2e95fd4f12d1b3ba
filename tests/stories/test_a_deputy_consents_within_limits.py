"""The curator is away; a named deputy agrees within limits, and the bench keeps to them.

Invented setting. That a named deputy with dates may decide is common practice.
"""

from datetime import timedelta

import pytest

from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.actions.treatment import LeftOut, StepDraft, log_step, next_version, send_version
from lifecycle.process.stages import Role, Stage
from lifecycle.queries.today import today_of
from lifecycle.queries.treatment.bench import bench_of
from lifecycle.records.models import DeputyTerm, Face, Person, Showing
from lifecycle.records.models.treatment import Decision, ProposalVersion, TreatmentStep
from tests.builders.core import (
    AT,
    DAY,
    kept_by,
    make_exhibition,
    make_face,
    make_museum,
    make_object,
    make_person,
    make_showing,
)
from tests.builders.display import put_at
from tests.builders.treatment import (
    HOUR,
    agree,
    done,
    hand_of,
    make_sent,
    step_word,
)

LIMITS = "no humidification of ff. 88v-89r"


class Away:
    """Wen is away for two weeks; Ines stands in as curator from today to Tuesday in a week."""

    def __init__(self) -> None:
        make_museum()
        self.marit: Person = make_person(Role.CONSERVATOR, name="Marit Oldacre")
        self.wen: Person = make_person(Role.CURATOR, name="Wen Castellane")
        self.ines: Person = make_person(name="Ines Rook")
        exhibition = make_exhibition()
        exhibition.curators.add(self.wen)
        DeputyTerm(
            for_person=self.wen,
            deputy=self.ines,
            role=Role.CURATOR,
            from_on=DAY,
            until_on=DAY + timedelta(days=7),
        ).keep(**kept_by())
        diary = make_object(object_number="HCM.1908.12", title="Weather diary of Hester Plym")
        self.face: Face = make_face(diary, label="ff. 88v-89r")
        self.other: Face = make_face(diary, label="ff. 31v-32r", order=2)
        self.showing: Showing = make_showing(exhibition=exhibition, museum_object=diary)
        plan = (StepDraft(step=step_word("mend")), StepDraft(step=step_word("humidify")))
        self.version: ProposalVersion = make_sent(
            self.marit, showing=self.showing, steps=plan, materials=()
        )
        put_at(self.showing, Stage.TREATMENT)

    def decide(self) -> None:
        agree(
            self.ines,
            self.version,
            at=AT + HOUR,
            decision=Decision.AGREE_WITHIN_LIMITS,
            limits=LIMITS,
            left_out=(LeftOut(step=step_word("humidify"), face=self.face),),
        )

    def log(self, code: str, face: Face, *, days: int = 0) -> TreatmentStep:
        at = AT + timedelta(days=days, hours=2)
        return log_step(
            by=self.marit,
            role=Role.CONSERVATOR,
            at=at,
            museum_object=self.showing.museum_object,
            proposal=self.version.proposal,
            done=done(step_word(code), at=at, face=face),
        )


@pytest.fixture
def away(db: None) -> Away:
    return Away()


def test_the_deputy_finds_it_on_today_and_the_link_leads_to_the_decision(away: Away) -> None:
    (line,) = [one for one in today_of(away.ines, AT) if one.key.startswith("consent:")]
    assert (line.url_name, line.url_kwargs) == ("consent", {"uid": str(away.version.uid)})


def test_what_was_left_out_is_off_the_bench_once_the_same_party_agrees_to_it(away: Away) -> None:
    away.decide()
    assert bench_of(away.version.proposal, AT + 2 * HOUR).excluded
    agree(away.ines, away.version, at=AT + 2 * HOUR)
    bench = bench_of(away.version.proposal, AT + 3 * HOUR)
    assert (bench.limits, bench.excluded) == ((), ())
    assert away.log("humidify", away.face, days=1).version == away.version


def test_what_the_deputy_left_out_is_refused_and_the_rest_goes_on(away: Away) -> None:
    away.decide()
    assert away.log("mend", away.face).version == away.version
    assert away.log("humidify", away.other).version == away.version
    with pytest.raises(Refused) as refused:
        away.log("humidify", away.face)
    (reason,) = refused.value.reasons
    assert reason.code == "consent.limits"
    assert f"Ines Rook: {LIMITS}" in reason.text
    bench = bench_of(away.version.proposal, AT + 3 * HOUR)
    assert bench.limits == (f"Ines Rook: {LIMITS}",)
    assert bench.excluded == ("humidify on ff. 88v-89r",)


def test_the_word_outlives_the_term_but_the_deputy_does_not_decide_on_the_next_version(
    away: Away,
) -> None:
    away.decide()
    assert away.log("mend", away.face, days=30).version == away.version
    later = AT + timedelta(days=8)
    fresh = next_version(
        by=away.marit, role=Role.CONSERVATOR, at=later, proposal=away.version.proposal
    )
    send_version(hand=hand_of(away.marit, Role.CONSERVATOR), at=later, version=fresh)
    with pytest.raises(NotAllowed):
        agree(away.ines, fresh, at=later)


def test_the_curator_back_at_her_desk_takes_the_deputys_yes_back(away: Away) -> None:
    away.decide()
    agree(
        away.wen,
        away.version,
        at=AT + timedelta(days=8),
        decision=Decision.REFUSE,
        limits="Not before I have seen it.",
    )
    with pytest.raises(Refused, match="Wen Castellane answered"):
        away.log("mend", away.face, days=9)
