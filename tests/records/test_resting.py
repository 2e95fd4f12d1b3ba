"""The database lets no row stand without what it rests on elsewhere; written from what must hold.

Each case is a bare row of which everything else is in order, first without and then with what it
rests on.
"""

from collections.abc import Callable
from typing import Any

import pytest
from django.db import IntegrityError, transaction

from lifecycle.process.stages import Role, Stage
from lifecycle.process.words import ReportKind
from lifecycle.records.models import (
    DisplayPeriod,
    InstallCheck,
    JournalEntry,
    Showing,
    TreatmentStep,
    TurnRecord,
)
from lifecycle.records.models.treatment import Decision
from lifecycle.records.resting import JOURNAL, PERIOD, STEP
from tests.builders.core import AT, kept_by, make_exhibition, make_showing
from tests.builders.display import Crew, make_crew, put_at, signed_report
from tests.builders.display_rows import Ground, check, period, take_over, turn
from tests.builders.treatment import HOUR, agree, make_sent, step_word

pytestmark = pytest.mark.django_db

SIGNED: dict[str, Any] = {"signed_at": AT, "digest": "a" * 64, "signed_text": "Signed."}


class Scene:
    """A showing that stands where a move begins."""

    def __init__(self, stage: Stage) -> None:
        self.crew: Crew = make_crew()
        self.ground = Ground()
        self.showing: Showing = put_at(self.ground.showing, stage)

    def entry(self, move: str, to: Stage, *, start: Stage | None = None) -> JournalEntry:
        begins = start or Stage(self.showing.stage)
        return JournalEntry(
            showing=self.showing,
            move=move,
            from_stage=begins.value if move != "take_over" else "",
            to_stage=to.value,
            by=self.crew.registrar,
            role=Role.REGISTRAR.value,
            at=AT,
        )

    def signed(self, row: InstallCheck | TurnRecord) -> None:
        for name, value in SIGNED.items():
            setattr(row, name, value)
        row.keep(**kept_by())

    def report(self, kind: ReportKind, **values: Any) -> None:
        signed_report(self.crew, self.showing, kind, AT, self.ground.face, **values)


def refused(row: Any, said: str) -> None:
    write = row.append if hasattr(row, "append") else lambda: row.keep(**kept_by())
    with pytest.raises(IntegrityError, match=said), transaction.atomic():
        write()


def test_an_entry_is_a_way_of_the_table_from_where_the_showing_stands() -> None:
    scene = Scene(Stage.MOUNTING)
    refused(scene.entry("declare_ready", Stage.ON_DISPLAY), "from there to there")
    refused(scene.entry("no_such_move", Stage.READY), "from there to there")
    refused(scene.entry("look_again", Stage.EXAMINATION, start=Stage.READY), "where the showing")
    scene.entry("declare_ready", Stage.READY).append()


EVIDENCE: dict[str, tuple[Stage, str, Stage, Callable[[Scene], object], str]] = {
    "installed": (
        Stage.READY,
        "install",
        Stage.ON_DISPLAY,
        lambda scene: scene.signed(check(scene.ground)),
        "signed install check",
    ),
    "shown": (
        Stage.ROTATION,
        "show_again",
        Stage.ON_DISPLAY,
        lambda scene: scene.signed(turn(scene.ground)),
        "signed turn record",
    ),
    "taken": (
        Stage.SELECTION,
        "take_over",
        Stage.ON_DISPLAY,
        lambda scene: take_over(scene.ground),
        "without its record",
    ),
}


@pytest.mark.parametrize("name", EVIDENCE)
def test_a_move_to_the_wall_rests_on_its_signed_record(name: str) -> None:
    stage, move, to, evidence, said = EVIDENCE[name]
    scene = Scene(stage)
    refused(scene.entry(move, to), said)
    evidence(scene)
    scene.entry(move, to).append()


@pytest.mark.parametrize(
    ("stage", "move"), [(Stage.REHOUSING, "send_home"), (Stage.DEINSTALL_CHECK, "pass_on")]
)
def test_nobody_is_home_without_a_compared_part_b(stage: Stage, move: str) -> None:
    scene = Scene(stage)
    scene.report(ReportKind.DEINSTALL_AT_CASE)
    scene.report(ReportKind.DEINSTALL_AT_BENCH)
    refused(scene.entry(move, Stage.RETURNED), "without part B")
    scene.report(ReportKind.DEINSTALL_AT_BENCH, none_known="Nothing on file.")
    scene.entry(move, Stage.RETURNED).append()


def test_nobody_is_home_without_part_a() -> None:
    scene = Scene(Stage.REHOUSING)
    scene.report(ReportKind.DEINSTALL_AT_BENCH, none_known="Nothing on file.")
    refused(scene.entry("send_home", Stage.RETURNED), "without part A")


def test_what_was_taken_over_may_lack_part_a_and_never_part_b() -> None:
    scene = Scene(Stage.REHOUSING)
    take_over(scene.ground)
    refused(scene.entry("send_home", Stage.RETURNED), "without part B")
    scene.report(ReportKind.DEINSTALL_AT_BENCH, none_known="Nothing on file.")
    scene.entry("send_home", Stage.RETURNED).append()


def test_a_display_period_names_no_unsigned_check_or_turn() -> None:
    scene = Scene(Stage.READY)
    begun, turned = check(scene.ground), turn(scene.ground)
    said = {"opened_at": AT, "opened_by": "install"}
    about = {"museum_object": scene.ground.thing, "face": scene.ground.face}
    row = DisplayPeriod(showing=scene.showing, place=scene.ground.place, **about, **said)
    for name, record in (("install_check", begun), ("turn", turned)):
        setattr(row, name, record)
        refused(row, "of a display period is signed")
        setattr(row, name, None)
    scene.signed(begun)
    assert period(scene.ground, install_check=begun).pk


def test_a_step_rests_on_a_version_that_somebody_agreed_to() -> None:
    crew, exhibition = make_crew(), make_exhibition()
    exhibition.curators.add(crew.curator)
    version = make_sent(crew.conservator, showing=make_showing(exhibition=exhibition))
    said: dict[str, Any] = {
        "museum_object": version.proposal.museum_object,
        "proposal": version.proposal,
        "version": version,
        "observed_at": AT + 2 * HOUR,
        "observed_by": crew.conservator,
        "entered_at": AT + 2 * HOUR,
        "entered_by": crew.conservator,
        "step": step_word("mend"),
        "result": "Holds.",
        "hours": 1,
    }
    agree(crew.curator, version, at=AT, decision=Decision.REFUSE, limits="Not yet.")
    refused(TreatmentStep(**said), "outside a consented version")
    limits: dict[str, Any] = {
        "decision": Decision.AGREE_WITHIN_LIMITS,
        "limits": "Not the seal.",
    }
    agree(crew.curator, version, at=AT + HOUR, **limits)
    assert TreatmentStep(**said).append().pk


def test_every_one_of_them_is_asked_for_here() -> None:
    asked = {"walk", "stands", *EVIDENCE, "found", "compared", "check", "turn", "consent"}
    assert {one.name for one in (*JOURNAL, *PERIOD, *STEP)} == asked
