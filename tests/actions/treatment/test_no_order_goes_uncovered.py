"""No order of versions, decisions and steps lets an unconsented step through (process, 4).

The expectation is written from the rule, not from the code that keeps it: a step needs a sent
version that plans it, whose curator's last word before the step was a yes; the newest such version
alone counts; emergencies are flagged.
"""

from datetime import timedelta
from typing import Any

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from lifecycle.actions.refusals import Refused
from lifecycle.actions.treatment import (
    StepDraft,
    log_step,
    next_version,
    send_version,
    write_version,
)
from lifecycle.process.stages import Role, Stage
from lifecycle.records.models import Person, Showing
from lifecycle.records.models.treatment import Decision, Proposal, TreatmentStep
from tests.builders.core import AT, make_exhibition, make_museum, make_person, make_showing
from tests.builders.treatment import (
    agree,
    done,
    draft,
    hand_of,
    make_proposal,
    put_at,
    step_word,
)

CODES = ("mend", "press", "unframe")
DEEDS = st.one_of(
    st.tuples(st.just("send"), st.just(0)),
    st.tuples(st.just("next"), st.sets(st.sampled_from(CODES), min_size=1).map(sorted)),
    st.tuples(st.just("yes"), st.integers(1, 4)),
    st.tuples(st.just("no"), st.integers(1, 4)),
    st.tuples(st.just("step"), st.sampled_from(CODES)),
    st.tuples(st.just("emergency"), st.sampled_from(CODES)),
)


class Told:
    """What was done so far, kept as plain words beside the records."""

    def __init__(self) -> None:
        self.plans: dict[int, set[str]] = {1: {"mend"}}
        self.sent: set[int] = set()
        self.last_word: dict[int, bool] = {}

    def allowed(self, code: str) -> bool:
        agreed = [v for v in self.sent if self.last_word.get(v)]
        return bool(agreed) and code in self.plans[max(agreed)]


class Walk:
    def __init__(self) -> None:
        make_museum()
        self.marit: Person = make_person(Role.CONSERVATOR)
        self.wen: Person = make_person(Role.CURATOR)
        exhibition = make_exhibition()
        exhibition.curators.add(self.wen)
        self.showing: Showing = make_showing(exhibition=exhibition)
        self.proposal: Proposal = make_proposal(self.marit, showing=self.showing, materials=())
        put_at(self.showing, Stage.TREATMENT)
        self.told = Told()
        self.at = AT

    def versions(self) -> dict[int, Any]:
        return {v.version: v for v in self.proposal.versions.all()}

    def send(self, _: Any) -> None:
        latest = max(self.versions().values(), key=lambda v: v.version)
        send_version(hand=hand_of(self.marit, Role.CONSERVATOR), at=self.at, version=latest)
        self.told.sent.add(latest.version)

    def next(self, codes: list[str]) -> None:
        fresh = next_version(
            by=self.marit, role=Role.CONSERVATOR, at=self.at, proposal=self.proposal
        )
        write_version(
            by=self.marit,
            role=Role.CONSERVATOR,
            at=self.at,
            version=fresh,
            edition=1,
            draft=draft(
                based_on=fresh.based_on,
                steps=tuple(StepDraft(step=step_word(code)) for code in codes),
                materials=(),
            ),
        )
        self.told.plans[fresh.version] = set(codes)

    def decide(self, number: int, *, yes: bool) -> None:
        version = self.versions().get(number)
        if version is None:
            return
        decision = Decision.AGREE if yes else Decision.REFUSE
        agree(self.wen, version, at=self.at, decision=decision, limits="" if yes else "Not this.")
        self.told.last_word[number] = yes

    def yes(self, number: int) -> None:
        self.decide(number, yes=True)

    def no(self, number: int) -> None:
        self.decide(number, yes=False)

    def log(self, code: str, **values: Any) -> None:
        log_step(
            by=self.marit,
            role=Role.CONSERVATOR,
            at=self.at,
            museum_object=self.showing.museum_object,
            proposal=self.proposal,
            done=done(step_word(code), at=self.at, **values),
        )

    def step(self, code: str) -> None:
        wanted = self.told.allowed(code)
        try:
            self.log(code)
        except Refused:
            assert not wanted, f"{code} was refused although a consent covers it"
            raise
        assert wanted, f"{code} was logged although no consent covers it"

    def emergency(self, code: str) -> None:
        self.log(code, emergency=True, emergency_reason="A flake lifts.")


@pytest.mark.django_db
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=25)
@given(deeds=st.lists(DEEDS, min_size=4, max_size=14))
def test_no_order_of_versions_decisions_and_steps_lets_one_through(
    db: None, deeds: list[tuple[str, Any]]
) -> None:
    with transaction.atomic():
        walk = Walk()
        for number, (name, said) in enumerate(deeds):
            walk.at = AT + timedelta(minutes=number + 1)
            try:
                getattr(walk, name)(said)
            except Refused:
                continue
        loose = TreatmentStep.objects.filter(version=None, standing=None)
        assert all(step.emergency and step.emergency_reason for step in loose)
        transaction.set_rollback(True)
