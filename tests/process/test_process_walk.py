"""Random people, days and mistakes over facts: whatever happens, the process keeps its word.

What is expected here is written from what must always hold and from the table of moves typed in
``test_moves_table``, not from the gates.
"""

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta

from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from lifecycle.process.duties import duties, in_order
from lifecycle.process.evidence import evidence_of
from lifecycle.process.facts.condition import ReportFacts
from lifecycle.process.facts.objects import HoldFacts
from lifecycle.process.facts.showing import (
    MoveMade,
    RequestFacts,
    ShowingFacts,
    TakeOverFacts,
    WaiverFacts,
)
from lifecycle.process.gates.blocker import Blocker
from lifecycle.process.moves import MOVES, onward, open_moves
from lifecycle.process.readiness import readiness_of
from lifecycle.process.stages import CLOSED, Stage
from lifecycle.process.waivers import WAIVABLE
from lifecycle.process.words import ReportKind
from tests.process.breaks import BREAKS, Break
from tests.process.lawful import FULL, put, said
from tests.process.mending import mend
from tests.process.test_moves_table import EDGES

BLANK = ShowingFacts(
    today=FULL.today,
    moment=FULL.moment,
    showing_no="RQ-0007",
    uid="showing",
    exhibition=FULL.exhibition,
    object=put(FULL.object, "hazards", frozenset()),
    request=RequestFacts(show_from=FULL.request.show_from, show_to=FULL.request.show_to),
    take_over=TakeOverFacts(period_open=True),
    faces=FULL.faces,
)


def _signed(facts: ShowingFacts, kind: ReportKind) -> list[ReportFacts]:
    return [r for r in facts.reports if r.kind is kind and r.signed]


def _no_hold(facts: ShowingFacts) -> bool:
    return not facts.object.holds


def _consented(facts: ShowingFacts) -> bool:
    return any(p.consents and all(c.agreed for c in p.consents) for p in facts.proposals)


def _installed_by_two(facts: ShowingFacts) -> bool:
    check = facts.display.install
    return check is not None and len(set(check.signed_by)) >= 2 and check.photographed


def _compared(facts: ShowingFacts) -> bool:
    return all(
        b.compared_with or b.none_known for b in _signed(facts, ReportKind.DEINSTALL_AT_BENCH)[-1:]
    ) and bool(_signed(facts, ReportKind.DEINSTALL_AT_BENCH))


def _housed_or_waived(facts: ShowingFacts) -> bool:
    waived = any(w.code == "housing.fits" for w in facts.waivers)
    return facts.preparation.housing.fits or waived


MUST: dict[str, tuple[Callable[[ShowingFacts], bool], ...]] = {
    "take_in": (
        _no_hold,
        lambda f: not any(o.past_selection for o in f.object.others),
        lambda f: all(f.light.of(face.face_id) is not None for face in f.faces),
    ),
    "begin_treatment": (_consented,),
    "aftercare": (_consented, _compared),
    "install": (
        _no_hold,
        _installed_by_two,
        lambda f: not f.display.position_taken_by,
        lambda f: f.display.install is not None and f.display.install.lux is not None,
    ),
    "show_again": (_no_hold, lambda f: not f.display.position_taken_by),
    "pass_check": (_no_hold, _compared, lambda f: bool(_signed(f, ReportKind.DEINSTALL_AT_CASE))),
    "send_home": (
        _no_hold,
        _compared,
        _housed_or_waived,
        lambda f: bool(_signed(f, ReportKind.DEINSTALL_AT_CASE)),
        lambda f: not f.home.open_incidents and not f.home.papers_out,
        lambda f: all(r.signed for r in f.reports if r.this_showing),
        lambda f: any(m.to_home and m.done for m in f.home.movements),
    ),
    "pass_on": (_no_hold, _compared, lambda f: f.preparation.housing.fit_for_travel),
    "withdraw": (lambda f: f.object.at_home,),
}


class ShowingWalk(RuleBasedStateMachine):
    def __init__(self) -> None:
        super().__init__()
        self.facts = BLANK

    @initialize(taken_over=st.booleans(), seed=st.integers(0, 3))
    def begin(self, taken_over: bool, seed: int) -> None:
        name = "take_over" if taken_over else "request"
        self.settle(name)
        saying = said(name)
        if taken_over:
            into = [Stage.MOUNTING, Stage.READY, Stage.ON_DISPLAY, Stage.REHOUSING][seed]
            saying = replace(saying, to=into)
        self.make(name, saying)

    def settle(self, name: str) -> None:
        """Do what each reason asks, until nothing is left; each must go when it is dealt with."""
        for _ in range(30):
            blockers = MOVES[name].blockers(self.facts)
            if not blockers:
                return
            first = blockers[0]
            self.facts = mend(self.facts, first, name)
            left = {b.key for b in MOVES[name].blockers(self.facts)}
            assert first.key not in left, f"{first.key} stays although it was dealt with"
        raise AssertionError(f"{name} is never free")

    def make(self, name: str, saying: object = None) -> None:
        move, facts = MOVES[name], self.facts
        words = saying if saying is not None else said(name)
        if move.refusals(facts, words):  # type: ignore[arg-type]
            return
        for expected in MUST.get(name, ()):
            assert expected(facts), f"{name} was made although {expected} does not hold"
        target = move.target(facts, words)  # type: ignore[arg-type]
        entry = MoveMade(
            uid=str(len(facts.journal)),
            move=name,
            from_stage=facts.stage,
            to_stage=target,
            at=facts.moment,
        )
        assert all(refs for refs in evidence_of(move, facts).values())
        self.facts = replace(facts, stage=target, journal=(*facts.journal, entry))
        self.wait(1)

    @rule(days=st.integers(1, 60))
    def wait(self, days: int) -> None:
        moment = self.facts.moment + timedelta(days=days)
        self.facts = replace(self.facts, moment=moment, today=moment.date())

    @rule(likely=st.integers(0, 3), pick=st.randoms(use_true_random=False))
    def try_a_move(self, likely: int, pick: object) -> None:
        """Three times of four the move onward, with one of its reasons dealt with."""
        names = sorted(MOVES)
        if likely < 3 and (move := onward(self.facts)) is not None:
            blockers = move.blockers(self.facts)
            if blockers:
                chosen: Blocker = pick.choice(blockers)  # type: ignore[attr-defined]
                self.facts = mend(self.facts, chosen, move.name)
            self.make(move.name)
        else:
            self.make(pick.choice(names))  # type: ignore[attr-defined]

    @rule(
        steps=st.integers(1, 9),
        rather=st.sets(
            st.sampled_from(
                ["begin_treatment", "start_rotation", "aftercare", "pass_on", "look_again"]
            )
        ),
    )
    def go_the_lawful_way(self, steps: int, rather: set[str]) -> None:
        """The first steps of a lawful way; each of ``rather`` is taken once where it is open."""
        for _ in range(steps):
            turnings = [m for m in open_moves(self.facts.stage) if m.name in rather]
            move = turnings[0] if turnings else onward(self.facts)
            if move is None:
                return
            rather = rather - {move.name}
            self.settle(move.name)
            self.make(move.name)

    @rule(step=st.sampled_from(BREAKS))
    def go_wrong(self, step: Break) -> None:
        facts = self.facts
        try:
            for path, value in step.changes:
                facts = put(facts, path, value)
        except (AssertionError, IndexError):
            return  # There is nothing of that kind to break yet.
        self.facts = replace(facts, stage=self.facts.stage, journal=self.facts.journal)

    @rule()
    def hold(self) -> None:
        held = HoldFacts(
            uid="h", reason="a flake", placed_by="Gil Perrin", placed_on=self.facts.today
        )
        self.facts = put(self.facts, "object.holds", (held,))

    @rule(pick=st.randoms(use_true_random=False), days=st.integers(0, 90))
    def waive(self, pick: object, days: int) -> None:
        move = onward(self.facts)
        open_ones = [b for b in move.blockers(self.facts) if b.code in WAIVABLE] if move else []
        if open_ones:
            blocker: Blocker = pick.choice(open_ones)  # type: ignore[attr-defined]
            until = self.facts.today + timedelta(days=days)
            waiver = WaiverFacts(code=blocker.code, about=blocker.about, until=until)
            self.facts = put(self.facts, "waivers", (*self.facts.waivers, waiver))
            assert move is not None
            assert blocker.key not in {b.key for b in move.blockers(self.facts)}

    @invariant()
    def the_path_is_a_walk_in_the_table(self) -> None:
        here: Stage | None = None
        for entry in self.facts.journal:
            assert (here, entry.to_stage) in EDGES[entry.move]
            here = entry.to_stage
        assert here == self.facts.stage
        first = [entry.move for entry in self.facts.journal[:1]]
        assert first in ([], ["request"], ["take_over"])

    @invariant()
    def nobody_is_home_without_comparison_and_housing(self) -> None:
        if self.facts.stage is Stage.RETURNED:
            moves = {entry.move for entry in self.facts.journal}
            assert moves & {"send_home", "pass_on"}

    @invariant()
    def an_open_stage_has_a_way_on_and_a_closed_one_has_no_duty(self) -> None:
        facts = self.facts
        if facts.stage is None or facts.stage in CLOSED:
            assert onward(facts) is None
            assert list(duties(facts)) == []
        else:
            assert onward(facts) in open_moves(facts.stage)

    @invariant()
    def duties_have_one_key_each_and_a_total_order(self) -> None:
        found = list(duties(self.facts))
        keys = [duty.key for duty in found]
        assert len(keys) == len(set(keys))
        assert in_order(found, self.facts.today) == in_order(reversed(found), self.facts.today)
        assert all(duty.text and duty.why for duty in found)

    @invariant()
    def readiness_has_fourteen_cells(self) -> None:
        cells = readiness_of(self.facts)
        assert [cell.gate.code for cell in cells] == [f"G{n}" for n in range(1, 15)]
        assert all(bool(cell.late_by) <= bool(cell.blockers) for cell in cells)


TestShowingWalk = ShowingWalk.TestCase
TestShowingWalk.settings = settings(stateful_step_count=25)
