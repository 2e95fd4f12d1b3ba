"""Random people, days and mistakes over rows: the ten 'things that must always hold'.

Expectations are written from that list, not from the gates; each names its number there.
"""

from collections.abc import Callable
from random import Random
from typing import Any

import pytest
from django.db import transaction
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    rule,
    run_state_machine_as_test,
)

from lifecycle.actions.moves import Overtaken, make_move, waive
from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.actions.strikes import strike_move
from lifecycle.process.facts.showing import ShowingFacts
from lifecycle.process.moves import MOVES, onward
from lifecycle.process.stages import CLOSED, PAST_SELECTION, Role, Stage
from lifecycle.process.waivers import WAIVABLE
from lifecycle.process.words import ReportKind
from lifecycle.queries.errands import PAGES
from lifecycle.queries.light import account_of
from lifecycle.queries.showing_story import journal_of, replay
from lifecycle.queries.signed_text.registry import faults_of, kind_of
from lifecycle.records.models import (
    Assessment,
    ConditionReport,
    DisplayPeriod,
    InstallCheck,
    JournalEntry,
    LightReading,
    MuseumObject,
    Person,
    Showing,
    Signature,
    TreatmentStep,
    TurnRecord,
    Waiver,
)
from tests.builders.trip import Museum, Trip
from tests.process.test_moves_table import EDGES, WHO

pytestmark = [pytest.mark.slow, pytest.mark.walks, pytest.mark.django_db]

# Evidence that its own page writes in the same breath as the move.
MADE_THERE = ("install.", "takedown.", "rotation.check", "rotation.on_coming", "rotation.photo")

TURNINGS = ("begin_treatment", "start_rotation", "decline", "withdraw", "look_again", "aftercare")


class ShowingRows(RuleBasedStateMachine):
    def __init__(self) -> None:
        super().__init__()
        self.undo = transaction.atomic()
        self.undo.__enter__()
        assert not Showing.objects.exists(), "rows leaked from the example before"
        self.readings: set[int] = set()
        self.trips: list[Trip] = []

    def teardown(self) -> None:
        try:
            if self.trips:
                self.every_signed_record_is_as_it_was_signed()
                self.light_only_grows()
        finally:
            transaction.set_rollback(True)
            self.undo.__exit__(None, None, None)

    @initialize(
        faces=st.integers(1, 2),
        rival=st.sampled_from(["", "place", "object"]),
        head_start=st.sampled_from([40, 28, 22, 15, 8, 0]),
        rather=st.sampled_from(TURNINGS),
    )
    def two_wishes(self, faces: int, rival: str, head_start: int, rather: str) -> None:
        """One object some way along; perhaps a rival for its position, or a second exhibition."""
        museum = Museum()
        first = Trip(museum, faces=faces)
        self.trips = [first]
        if rival == "place":
            self.trips.append(Trip(museum))
        if rival == "object":
            self.trips.append(
                Trip(museum, like=first, place=1, exhibition=museum.another_exhibition())
            )
        self.go_the_lawful_way_of(first, head_start, rather)

    def go_the_lawful_way_of(self, trip: Trip, steps: int, rather: str) -> None:
        for _ in range(steps):
            made = [e.move for e in journal_of(trip.row())]
            self.step(trip, rather if rather not in made else "")

    # ── what people try ────────────────────────────────────────────────────────────────────────
    def attempt(self, deed: Callable[[], object]) -> bool:
        """Try something; a refusal has reasons in sentences and leaves nothing behind."""
        before = JournalEntry.objects.count()
        try:
            with transaction.atomic():
                deed()
        except Refused as refused:
            assert refused.reasons
            for reason in refused.reasons:  # 9
                assert reason.text.strip().endswith((".", "”", ")")), reason.text
            assert JournalEntry.objects.count() == before
            return False
        except NotAllowed as no:
            assert str(no)
            return False
        return True

    def step(self, trip: Trip, rather: str = "", pick: Random | None = None) -> None:
        """One thing towards the next move: deal with a reason, or make the move."""
        facts: ShowingFacts = trip.facts()
        move = onward(facts)
        if move is None:
            return
        if rather and facts.stage in MOVES[rather].sources:
            move = MOVES[rather]
        open_ones = [b for b in move.blockers(facts) if not b.code.startswith(MADE_THERE)]
        if not open_ones:
            self.attempt(lambda: trip.move(move.name))
            return
        blocker = pick.choice(open_ones) if pick is not None else open_ones[0]
        assert blocker.code in PAGES or blocker.code.startswith(("object.", "booking.")), (
            f"{blocker.code} has no page that mends it"  # 9
        )
        if self.attempt(lambda: trip.deal_with(blocker.code)):
            left = {b.key for b in MOVES[move.name].standing(trip.facts())}
            known = blocker.key not in left or not trip_knows(blocker.code)
            assert known, f"{blocker.key} stays although it was dealt with"  # 9

    def some_trip(self, number: int) -> Trip:
        return self.trips[number % len(self.trips)]

    @rule(number=st.integers(0, 1), likely=st.integers(0, 3), pick=st.randoms())
    def try_a_move(self, number: int, likely: int, pick: Random) -> None:
        """Three times of four what is likely next, else any move at all."""
        trip = self.some_trip(number)
        if likely < 3:
            self.step(trip, pick=pick)
        else:
            name = pick.choice(sorted(MOVES))
            self.attempt(lambda: trip.move(name))

    @rule(number=st.integers(0, 1), steps=st.integers(3, 25), rather=st.sampled_from(TURNINGS))
    def go_the_lawful_way(self, number: int, steps: int, rather: str) -> None:
        """The first steps of a lawful way, with one turning where it is open."""
        self.go_the_lawful_way_of(self.some_trip(number), steps, rather)

    @rule(number=st.integers(0, 1), name=st.sampled_from(sorted(MOVES)), role=st.sampled_from(Role))
    def somebody_else_tries(self, number: int, name: str, role: Role) -> None:
        """A role that may not make the move is refused, whatever the facts are."""
        trip = self.some_trip(number)
        crew = trip.crew
        person = {
            Role.CONSERVATOR: crew.conservator,
            Role.REGISTRAR: crew.registrar,
            Role.CURATOR: crew.curator,
            Role.TECHNICIAN: crew.technician,
        }.get(role, crew.head)
        before = JournalEntry.objects.count()
        self.attempt(
            lambda: make_move(
                showing_id=trip.showing.pk, move=name, by=person, role=role, at=trip.tick()
            )
        )
        if role not in WHO[name]:
            assert JournalEntry.objects.count() == before

    @rule(number=st.integers(0, 1))
    def two_make_one_move(self, number: int) -> None:
        """8: of two people who saw the same page, one moves it and the other is told."""
        trip = self.some_trip(number)
        last = JournalEntry.objects.filter(showing=trip.showing, struck=None).order_by("pk").last()
        facts = trip.facts()
        move = onward(facts)
        if last is None or move is None or move.blockers(facts) or move.asks:
            return
        role = min(move.roles)
        person = trip.crew.registrar if role is Role.REGISTRAR else trip.crew.conservator
        said: dict[str, Any] = {"by": person, "role": role, "reason": "Now.", "seen": last.uid}
        made = self.attempt(
            lambda: make_move(showing_id=trip.showing.pk, move=move.name, at=trip.tick(), **said)
        )
        count = JournalEntry.objects.count()
        if made:
            with pytest.raises(Overtaken, match=person.full_name), transaction.atomic():
                make_move(showing_id=trip.showing.pk, move=move.name, at=trip.tick(), **said)
            assert JournalEntry.objects.count() == count

    @rule(number=st.integers(0, 1), late=st.booleans())
    def strike_the_last_move(self, number: int, late: bool) -> None:
        trip = self.some_trip(number)
        last = JournalEntry.objects.filter(showing=trip.showing, struck=None).order_by("pk").last()
        if last is None:
            return
        if late:
            trip.tick(days=9)
        made = self.attempt(
            lambda: strike_move(
                entry_id=last.pk,
                by=last.by,
                role=Role(last.role),
                at=trip.tick(),
                reason="Pressed by mistake.",
            )
        )
        assert not (made and late), "a move is struck within one working day or not at all"

    @rule(number=st.integers(0, 1), pick=st.randoms(), role=st.sampled_from(Role))
    def waive_something(self, number: int, pick: Random, role: Role) -> None:
        trip = self.some_trip(number)
        facts = trip.facts()
        move = onward(facts)
        blockers = move.blockers(facts) if move is not None else []
        if not blockers:
            return
        may_go = [b for b in blockers if b.code in WAIVABLE]
        blocker = pick.choice(may_go or blockers)
        if may_go and pick.random() < 0.75:
            role = min(WAIVABLE[blocker.code].roles)
        crew = trip.crew
        person: Person = {
            Role.CONSERVATOR: crew.conservator,
            Role.CURATOR: crew.curator,
            Role.REGISTRAR: crew.registrar,
        }.get(role, crew.head)
        made = self.attempt(
            lambda: waive(
                showing_id=trip.showing.pk,
                code=blocker.code,
                about=blocker.about,
                reason="For once.",
                until=facts.today,
                by=person,
                role=role,
                at=trip.tick(),
            )
        )
        assert not made or blocker.code in WAIVABLE

    @rule(number=st.integers(0, 1), lift=st.booleans())
    def hold_or_lift(self, number: int, lift: bool) -> None:
        trip = self.some_trip(number)
        trip.lift() if lift else trip.hold()

    @rule(number=st.integers(0, 1), days=st.integers(1, 30))
    def wait(self, number: int, days: int) -> None:
        self.some_trip(number).tick(days=days)

    @rule(number=st.integers(0, 1))
    def try_to_lose_a_reading(self, number: int) -> None:
        """3: no reading can be taken away."""
        reading = LightReading.objects.order_by("pk").first()
        if reading is not None:
            with pytest.raises(TypeError):
                reading.delete()
            with pytest.raises(TypeError):
                LightReading.objects.all().delete()

    # ── the ten things that must always hold ───────────────────────────────────────────────────
    @invariant()
    def one_place_one_object_one_showing(self) -> None:
        """1: a position holds at most one object; an object has one open showing past selection."""
        places = list(
            DisplayPeriod.objects.filter(closed_at=None, struck_at=None).values_list(
                "place_id", "museum_object_id"
            )
        )
        assert len({place for place, _ in places}) == len(places)
        assert len({thing for _, thing in places}) == len(places)
        past = list(
            Showing.objects.filter(stage__in=sorted(PAST_SELECTION)).values_list(
                "museum_object_id", flat=True
            )
        )
        assert len(set(past)) == len(past)
        lying = list(
            MuseumObject.objects.filter(current_location__kind="position").values_list(
                "current_location_id", flat=True
            )
        )
        assert len(set(lying)) == len(lying)

    @invariant()
    def shown_means_one_open_period_and_a_signed_check(self) -> None:
        """2"""
        for trip in self.trips:
            open_ones = list(
                DisplayPeriod.objects.filter(
                    showing=trip.showing, closed_at=None, struck_at=None
                ).select_related("install_check", "turn")
            )
            assert (len(open_ones) == 1) == (trip.stage is Stage.ON_DISPLAY)
            for period in open_ones:
                signed = period.install_check or period.turn
                assert signed is not None
                signers = Signature.objects.filter(record_uid=signed.uid).values_list(
                    "person_id", flat=True
                )
                assert len(set(signers)) >= 2

    @invariant()
    def readings_are_never_lost(self) -> None:
        """3"""
        now = set(LightReading.objects.values_list("pk", flat=True))
        assert self.readings <= now
        self.readings = now

    @invariant()
    def no_step_without_consent(self) -> None:
        """4"""
        for step in TreatmentStep.objects.filter(emergency=False, standing=None):
            assert step.version is not None
            agreed = step.version.consents.filter(
                decision__in=["agree", "agree_within_limits"], decided_at__lte=step.observed_at
            )
            assert agreed.exists()

    @invariant()
    def home_means_compared_and_housed(self) -> None:
        """5"""
        for trip in self.trips:
            if trip.stage is not Stage.RETURNED:
                continue
            reports = ConditionReport.objects.filter(showing=trip.showing).exclude(digest="")
            assert reports.filter(kind=ReportKind.DEINSTALL_AT_CASE).exists()
            part_b = reports.filter(kind=ReportKind.DEINSTALL_AT_BENCH).latest("pk")
            assert part_b.compared_with_id is not None or part_b.none_known
            housed = trip.thing.housings.filter(fits=True, retired_at=None).exists()
            assert housed or Waiver.objects.filter(showing=trip.showing).exists()

    def every_signed_record_is_as_it_was_signed(self) -> None:
        """6; the reports a builder wrote as signed rows are left out."""
        by_hand = "b" * 64, "a" * 64
        for model in (InstallCheck, TurnRecord, Assessment, ConditionReport):
            for record in model.objects.exclude(digest="").exclude(digest__in=by_hand):
                assert list(faults_of(record, kind_of(record))) == []

    @invariant()
    def the_journal_is_a_walk_in_the_table_and_tells_the_stage(self) -> None:
        """7, and the replay of the journal gives the same stage"""
        for trip in self.trips:
            entries = journal_of(trip.row())
            here: Stage | None = None
            for entry in entries:
                if hasattr(entry, "struck"):
                    continue
                source = Stage(entry.from_stage) if entry.from_stage else None
                assert source == here
                assert (here, Stage(entry.to_stage)) in EDGES[entry.move]
                assert Role(entry.role) in WHO[entry.move]
                assert entry.by_id
                here = Stage(entry.to_stage)
            assert entries[0].move in ("request", "take_over")
            assert replay(entries) == trip.stage

    @invariant()
    def an_open_stage_has_a_way_on(self) -> None:
        """10"""
        for trip in self.trips:
            found = [m for m in MOVES.values() if trip.stage in m.sources]
            assert bool(found) == (trip.stage not in CLOSED)

    def light_only_grows(self) -> None:
        """3: with the same rows, the light of a face on a later day is never less."""
        for trip in self.trips[:1]:
            for face in trip.faces:
                now = account_of(face, trip.at).lifetime.likely
                later = account_of(face, trip.tick(days=20)).lifetime.likely
                assert later >= now


def trip_knows(code: str) -> bool:
    """Whether the people of this test have a deed for the reason; a consent may be one of two."""
    names = [*Trip.DEEDS, "look", "part_a"]
    return any(code == name or code.startswith(f"{name}.") for name in names)


def test_the_ten_things_hold_whatever_people_do() -> None:
    profile = settings.get_profile(settings.get_current_profile_name())
    run_state_machine_as_test(
        ShowingRows,
        settings=settings(
            profile,
            max_examples=max(6, profile.max_examples // 60),
            stateful_step_count=10,
            deadline=None,
            suppress_health_check=list(HealthCheck),
        ),
    )
