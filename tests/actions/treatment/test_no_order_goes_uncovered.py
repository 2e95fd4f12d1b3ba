"""No order of versions, decisions, deviations and steps lets an unconsented step through.

The expectation is written from the rule, not from the code that keeps it: a step needs a sent
version that plans it and leaves it not out, to which the last word of everybody it needs was a yes
(a source community's too, where one is named); the newest such version alone counts; nothing goes
on while a deviation is open; a minor step needs a standing consent that two agreed to and nobody
ended; emergencies are flagged.
"""

from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import Any

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from lifecycle.actions.refusals import Refused
from lifecycle.actions.treatment import (
    LeftOut,
    StepDraft,
    agree_standing_consent,
    decide_deviation,
    end_standing_consent,
    give_consent,
    log_step,
    next_version,
    send_version,
    write_standing_consent,
    write_version,
)
from lifecycle.process.stages import Role, Stage
from lifecycle.records.models import Person, Showing
from lifecycle.records.models.treatment import Decision, Proposal, TreatmentStep
from tests.builders.core import (
    AT,
    DAY,
    make_exhibition,
    make_museum,
    make_object,
    make_person,
    make_showing,
)
from tests.builders.treatment import (
    agree,
    done,
    draft,
    hand_of,
    make_proposal,
    put_at,
    recording,
    step_word,
    told_by,
)

CODES = ("mend", "press", "unframe")
PLANS = st.sets(st.sampled_from(CODES), min_size=1).map(sorted)
DEEDS = st.one_of(
    st.tuples(st.just("send"), st.none()),
    st.tuples(st.just("next"), st.tuples(PLANS, st.booleans())),
    st.tuples(st.just("curator"), st.tuples(st.integers(1, 3), st.booleans())),
    st.tuples(st.just("within"), st.tuples(st.integers(1, 3), st.sampled_from(CODES))),
    st.tuples(st.just("head"), st.tuples(st.integers(1, 3), st.booleans())),
    st.tuples(st.just("community"), st.tuples(st.integers(1, 3), st.booleans())),
    *(st.tuples(st.just("step"), st.sampled_from(CODES)) for _ in range(3)),
    st.tuples(st.just("deviate"), st.sampled_from(CODES)),
    st.tuples(st.just("settle"), st.booleans()),
    st.tuples(st.just("emergency"), st.sampled_from(CODES)),
    *(st.tuples(st.just("correct"), st.sampled_from(CODES)) for _ in range(2)),
    st.tuples(st.just("stand"), st.sampled_from(("curator", "head", "end"))),
    st.tuples(st.just("minor"), st.sampled_from(("dust", "mend"))),
)
AGREED: list[tuple[str, Any]] = [
    ("send", None),
    ("community", (1, True)),
    ("curator", (1, True)),
]
FERRY = "Tern Ferry families"


def second(said: tuple[list[str], bool]) -> list[tuple[str, Any]]:
    """The first version agreed, and a second one sent that the curator agrees to as well."""
    agreed = [("community", (2, True)), ("curator", (2, True))]
    return [*AGREED, ("next", said), ("send", None), *agreed]


STOOD: list[tuple[str, Any]] = [("stand", "curator"), ("stand", "head"), ("stand", "end")]

# Uniform drawing seldom comes as far as two agreed versions: half of the walks begin there.
BEGINNINGS = st.one_of(
    st.sampled_from([[], AGREED, [("send", None), ("within", (1, "mend"))]]),
    st.tuples(PLANS, st.booleans()).map(second),
    st.integers(1, 3).map(lambda far: [*STOOD[:far], ("minor", "dust")]),
)
WAYS = st.tuples(BEGINNINGS, st.lists(DEEDS, min_size=4, max_size=10)).map(
    lambda parts: [*parts[0], *parts[1]]
)


class Told:
    """What was done so far, kept as plain words beside the records."""

    def __init__(self, *, named: bool) -> None:
        self.named = named
        self.plans: dict[int, tuple[set[str], bool]] = {1: ({"mend"}, True)}
        self.sent: set[int] = set()
        self.words: dict[tuple[int, str], tuple[bool, set[str]]] = {}
        self.standing: set[str] = set()
        self.open: list[tuple[int, TreatmentStep]] = []
        self.logged: tuple[str, set[str], TreatmentStep] | None = None

    def agreed(self, version: int) -> bool:
        """Sent, and the last word of everybody it needs was a yes."""
        reversible = self.plans[version][1]
        needed = ["curator"] + ["head_of_collections"] * (not reversible)
        needed += ["community"] * self.named
        return version in self.sent and all(
            self.words.get((version, who), (False, set()))[0] for who in needed
        )

    def left_out(self, version: int) -> set[str]:
        found = (said[1] for (number, _), said in self.words.items() if number == version)
        return set().union(*found)

    def covered(self) -> set[str]:
        agreed = [version for version in self.sent if self.agreed(version)]
        if not agreed:
            return set()
        newest = max(agreed)
        return self.plans[newest][0] - self.left_out(newest)

    def allowed(self, code: str) -> bool:
        return not self.open and code in self.covered()

    def minor(self, code: str) -> bool:
        return code == "dust" and not self.named and self.standing == {"curator", "head"}


class Walk:
    def __init__(self, *, named: bool) -> None:
        make_museum()
        self.josephine: Person = make_person(Role.REGISTRAR)
        self.marit: Person = make_person(Role.CONSERVATOR)
        self.wen: Person = make_person(Role.CURATOR)
        self.board: Person = make_person(Role.HEAD_OF_COLLECTIONS)
        exhibition = make_exhibition()
        exhibition.curators.add(self.wen)
        self.showing: Showing = make_showing(
            exhibition=exhibition,
            museum_object=make_object(source_community=FERRY if named else ""),
        )
        self.proposal: Proposal = make_proposal(
            self.marit, showing=self.showing, materials=(), steps=plan(("mend",))
        )
        self.standing = write_standing_consent(
            **self.acting(AT),
            object_type=self.showing.museum_object.object_type,
            steps=[step_word("dust")],
            limits="Soft brush.",
            from_on=DAY,
            until_on=DAY + timedelta(days=30),
        )
        put_at(self.showing, Stage.TREATMENT)
        self.told = Told(named=named)
        self.at = AT

    def acting(self, at: datetime) -> dict[str, Any]:
        return {"by": self.marit, "role": Role.CONSERVATOR, "at": at}

    def versions(self) -> dict[int, Any]:
        return {v.version: v for v in self.proposal.versions.all()}

    def send(self, _: Any) -> None:
        latest = max(self.versions().values(), key=lambda v: v.version)
        send_version(hand=hand_of(self.marit, Role.CONSERVATOR), at=self.at, version=latest)
        self.told.sent.add(latest.version)

    def next(self, said: tuple[list[str], bool]) -> None:
        codes, reversible = said
        fresh = next_version(**self.acting(self.at), proposal=self.proposal)
        write_version(
            **self.acting(self.at),
            version=fresh,
            edition=1,
            draft=draft(
                based_on=fresh.based_on, steps=plan(codes), materials=(), reversible=reversible
            ),
        )
        self.told.plans[fresh.version] = (set(codes), reversible)

    def decide(self, number: int, role: Role, *, yes: bool, without: str = "") -> None:
        version = self.versions().get(number)
        if version is None:
            return
        decision = Decision.AGREE if yes else Decision.REFUSE
        limits = "" if yes else "Not this."
        left_out: tuple[LeftOut, ...] = ()
        if without:
            decision, limits = Decision.AGREE_WITHIN_LIMITS, f"Not {without}."
            left_out = (LeftOut(step=step_word(without)),)
        person = self.wen if role is Role.CURATOR else self.board
        agree(
            person,
            version,
            at=self.at,
            role=role,
            decision=decision,
            limits=limits,
            left_out=left_out,
        )
        self.told.words[number, role.value] = (yes, {without} - {""})

    def community(self, said: tuple[int, bool]) -> None:
        """Asa Merrin speaks for the ferry, where it is named; the registrar writes it down."""
        version = self.versions().get(said[0])
        if version is None:
            return
        give_consent(
            hand=recording(self.josephine),
            at=self.at,
            version=version,
            decision=Decision.AGREE if said[1] else Decision.REFUSE,
            limits="" if said[1] else "Not this.",
            told=told_by(FERRY, self.at),
        )
        self.told.words[said[0], "community"] = (said[1], set())

    def curator(self, said: tuple[int, bool]) -> None:
        self.decide(said[0], Role.CURATOR, yes=said[1])

    def head(self, said: tuple[int, bool]) -> None:
        self.decide(said[0], Role.HEAD_OF_COLLECTIONS, yes=said[1])

    def within(self, said: tuple[int, str]) -> None:
        self.decide(said[0], Role.CURATOR, yes=True, without=said[1])

    def log(self, code: str, **values: Any) -> TreatmentStep:
        under = values.pop("under", True)
        made = log_step(
            **self.acting(self.at),
            museum_object=self.showing.museum_object,
            proposal=self.proposal if under else None,
            showing=None if under else self.showing,
            done=done(step_word(code), at=values.pop("done_at", self.at), **values),
        )
        if under and made.corrects is None:
            self.told.logged = (code, self.told.covered(), made)
        return made

    def tried(self, code: str, wanted: bool, **values: Any) -> TreatmentStep:
        """Log, and hold the answer against what the plain words say."""
        try:
            made = self.log(code, **values)
        except Refused:
            assert not wanted, f"{code} was refused although a consent covers it"
            raise
        assert wanted, f"{code} was logged although no consent covers it"
        return made

    def step(self, code: str) -> None:
        self.tried(code, self.told.allowed(code))

    def deviate(self, code: str) -> None:
        made = self.tried(
            code, self.told.allowed(code), deviation=True, deviation_why="It was thicker."
        )
        assert made.version is not None
        self.told.open.append((made.version.version, made))

    def settle(self, yes: bool) -> None:
        """The curator decides on the oldest open deviation; the head too, where both are needed."""
        if not self.told.open:
            return
        version, made = self.told.open[0]
        people = [(self.wen, Role.CURATOR)]
        if not self.told.plans[version][1]:
            people.append((self.board, Role.HEAD_OF_COLLECTIONS))
        for person, role in people:
            decide_deviation(
                hand=hand_of(person, role),
                at=self.at,
                step=made,
                decision=Decision.AGREE if yes else Decision.REFUSE,
                limits="" if yes else "Not so.",
            )
        if self.told.named:
            decide_deviation(
                hand=recording(self.josephine),
                at=self.at,
                step=made,
                decision=Decision.AGREE if yes else Decision.REFUSE,
                limits="" if yes else "Not so.",
                told=told_by(FERRY, self.at),
            )
        if yes:
            self.told.open.pop(0)

    def correct(self, code: str) -> None:
        """The last step is written again: as it was, or as another that was covered then."""
        if self.told.logged is None:
            return
        before, covered, wrong = self.told.logged
        made = self.tried(
            code,
            code in covered or (code == before and not wrong.emergency),
            done_at=wrong.observed_at,
            corrects=wrong,
            deviation=wrong.deviation,
            deviation_why=wrong.deviation_why,
        )
        self.told.logged = (code, covered, made)
        if wrong.deviation:
            assert made.version is not None
            kept = [line for line in self.told.open if line[1] != wrong]
            self.told.open = [*kept, (made.version.version, made)]

    def emergency(self, code: str) -> None:
        self.log(code, emergency=True, emergency_reason="A flake lifts.")

    def stand(self, who: str) -> None:
        said: dict[str, Any] = {"at": self.at, "standing": self.standing}
        if who == "end":
            end_standing_consent(by=self.wen, role=Role.CURATOR, why="Enough.", **said)
            self.told.standing.add("ended")
        elif who == "head":
            agree_standing_consent(by=self.board, role=Role.HEAD_OF_COLLECTIONS, **said)
            self.told.standing.add("head")
        else:
            agree_standing_consent(by=self.wen, role=Role.CURATOR, **said)
            self.told.standing.add("curator")

    def minor(self, code: str) -> None:
        self.tried(code, self.told.minor(code), under=False)


def plan(codes: Iterable[str]) -> tuple[StepDraft, ...]:
    return tuple(StepDraft(step=step_word(code)) for code in codes)


@pytest.mark.walks
@pytest.mark.django_db
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=30)
@given(deeds=WAYS, named=st.booleans())
def test_no_order_of_versions_decisions_and_steps_lets_one_through(
    db: None, deeds: list[tuple[str, Any]], named: bool
) -> None:
    with transaction.atomic():
        walk = Walk(named=named)
        for number, (name, said) in enumerate(deeds):
            walk.at = AT + timedelta(minutes=number + 1)
            try:
                getattr(walk, name)(said)
            except Refused:
                continue
        loose = TreatmentStep.objects.filter(version=None, standing=None)
        assert all(step.emergency and step.emergency_reason for step in loose)
        transaction.set_rollback(True)
