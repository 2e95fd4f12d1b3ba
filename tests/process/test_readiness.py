"""The fourteen gates of the readiness summary, the sheet, the subjects, the evidence."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from lifecycle.process.evidence import evidence_of
from lifecycle.process.facts.display import AppointmentFacts, OnShow
from lifecycle.process.facts.home import IncidentFacts
from lifecycle.process.facts.objects import HoldFacts
from lifecycle.process.facts.showing import ShowingFacts, WaiverFacts
from lifecycle.process.gates.preparing import months_after
from lifecycle.process.links import install_day
from lifecycle.process.moves import MOVES, onward
from lifecycle.process.readiness import GATE_OF, GateMark, due_of, readiness_of
from lifecycle.process.sheet import process_sheet
from lifecycle.process.stages import Stage
from lifecycle.process.subjects import subject_uid
from lifecycle.process.switches import Switch
from lifecycle.process.words import Answer, FitForDisplay, ReportKind
from tests.process.breaks import BREAKS, FAR, NEAR
from tests.process.lawful import FULL, A, B, lawful, made, moment, put

INSTALL = date(2026, 3, 2)
NEEDED = {
    "G1": 182,
    "G2": 112,
    "G3": 84,
    "G4": 84,
    "G5": 35,
    "G6": 35,
    "G7": 14,
    "G8": 21,
    "G9": 14,
    "G10": 5,
    "G11": 5,
    "G12": 3,
    "G13": 5,
}


def ready() -> ShowingFacts:
    return put(lawful("declare_ready"), "proposals.0.report_signed", True)


def marks(facts: ShowingFacts) -> dict[str, GateMark]:
    return {cell.gate.code: cell.mark for cell in readiness_of(facts)}


def test_when_all_is_done_every_mark_says_so() -> None:
    assert set(marks(ready()).values()) == {GateMark.DONE}
    assert all(mark.label for mark in GateMark)


def test_the_days_are_those_of_the_job_map() -> None:
    cells = {cell.gate.code: cell.due_on for cell in readiness_of(ready())}
    assert cells.pop("G14") == date(2026, 8, 7), "28 days before a Sunday is one: the Friday"
    assert cells == {code: INSTALL - timedelta(days=days) for code, days in NEEDED.items()}


def test_a_planned_install_day_moves_the_others() -> None:
    day = AppointmentFacts(uid="a", kind=OnShow.INSTALL, day=date(2026, 3, 11))
    facts = put(ready(), "display.appointments", (day,))
    assert install_day(facts) == date(2026, 3, 11)
    assert due_of("case.proof", facts) == date(2026, 3, 6)
    assert due_of("object.held", facts) is None


def test_what_does_not_apply_is_not_needed() -> None:
    facts = put(ready(), "object.lender", "")
    facts = put(put(facts, "proposals", ()), "preparation.imaging", ())
    facts = put(facts, "faces", facts.faces[:1])
    none = {code for code, mark in marks(facts).items() if mark is GateMark.NOT_NEEDED}
    assert none == {"G3", "G5", "G6", "G7"}
    shown = put(facts, "stage", Stage.ON_DISPLAY)
    assert marks(shown)["G13"] is GateMark.NOT_NEEDED


@pytest.mark.parametrize(
    ("path", "value", "code", "mark"),
    [
        ("faces", (), "G1", GateMark.TO_DO),
        ("assessment", None, "G2", GateMark.TO_DO),
        ("home.loan.agreement_signed", False, "G3", GateMark.WITH_SOMEONE),
        ("home.loan.clauses_entered", False, "G3", GateMark.WITH_SOMEONE),
        ("home.loan", None, "G3", GateMark.TO_DO),
        ("reports", (), "G4", GateMark.TO_DO),
        ("proposals.0.report_signed", False, "G5", GateMark.TO_DO),
        ("preparation.imaging.0.accepted", False, "G6", GateMark.TO_DO),
        ("preparation.facsimiles.0.delivered", False, "G7", GateMark.WITH_SOMEONE),
        ("preparation.mounts.0.fits", frozenset(), "G8", GateMark.WITH_SOMEONE),
        ("preparation.caption.approved", False, "G9", GateMark.TO_DO),
        ("place", "", "G10", GateMark.TO_DO),
        ("preparation.light_proof", None, "G11", GateMark.TO_DO),
        ("preparation.route.walked", False, "G12", GateMark.TO_DO),
        ("home.movements", (), "G12", GateMark.TO_DO),
        ("reports", (), "G13", GateMark.TO_DO),
        ("preparation.housing.fits", False, "G14", GateMark.WITH_SOMEONE),
    ],
)
def test_what_is_missing_shows_in_its_own_cell(
    path: str, value: object, code: str, mark: GateMark
) -> None:
    assert marks(put(ready(), path, value))[code] is mark


def test_imaging_and_treatment_can_be_with_someone() -> None:
    facts = put(ready(), "preparation.imaging.0.accepted", False)
    facts = put(facts, "preparation.imaging.0.person", "Ada Kestrel")
    assert marks(facts)["G6"] is GateMark.WITH_SOMEONE
    waiting = put(ready(), "proposals.0.report_signed", False)
    waiting = put(waiting, "proposals.0.consents.0.decided", False)
    waiting = put(waiting, "proposals.0.consents.0.agreed", False)
    waiting = put(waiting, "proposals.0.consents.0.asked_on", date(2026, 1, 5))
    assert marks(waiting)["G5"] is GateMark.WITH_SOMEONE


def test_what_nobody_was_asked_for_is_to_do_beside_what_is_on_its_way() -> None:
    facts = put(ready(), "preparation.mounts.0.fits", frozenset())
    assert marks(put(facts, "preparation.mounts.0.faces", frozenset({A})))["G8"] is GateMark.TO_DO
    facts = put(ready(), "preparation.facsimiles.0.delivered", False)
    alone = put(facts, "preparation.facsimiles", facts.preparation.facsimiles[:1])
    assert (marks(facts)["G7"], marks(alone)["G7"]) == (GateMark.WITH_SOMEONE, GateMark.TO_DO)
    facts = put(ready(), "preparation.case.built", False)
    facts = put(facts, "exhibition.manager", "Sunniva Platt")
    assert marks(facts)["G10"] is GateMark.WITH_SOMEONE
    assert marks(put(facts, "place", ""))["G10"] is GateMark.TO_DO


def test_a_mount_is_tried_again_after_the_treatment_ended() -> None:
    facts = ready()
    tried = put(facts, "preparation.mounts.0.tried", ((A, moment(8, 19)), (B, moment(8, 21))))
    ended = made("finish_treatment", Stage.MOUNTING, moment(8, 20), Stage.TREATMENT)
    late = put(tried, "journal", (*facts.journal, ended))
    (blocker,) = [b for cell in readiness_of(late) for b in cell.blockers]
    assert (blocker.code, blocker.about) == ("mount.fit", "A")
    assert marks(tried)["G8"] is GateMark.DONE
    after = made("finish_treatment", Stage.REHOUSING, moment(8, 20), Stage.TREATMENT)
    aftercare = put(tried, "journal", (*facts.journal, after))
    assert marks(aftercare)["G8"] is GateMark.DONE, "it is mounted for nothing any more"


def test_a_slip_is_wanted_until_it_hangs_and_where_routes_are_asked_for_at_all() -> None:
    facts = put(ready(), "home.movements", ())
    codes = [b.code for cell in readiness_of(facts) for b in cell.blockers]
    assert codes == ["route.slip"]
    assert marks(put(facts, "stage", Stage.ON_DISPLAY))["G12"] is GateMark.DONE
    off = put(facts, "rules", replace(facts.rules, off=frozenset({Switch.ROUTES})))
    assert marks(off)["G12"] is GateMark.DONE


def test_after_treatment_without_a_proposal_is_to_do() -> None:
    facts = put(put(ready(), "proposals", ()), "assessment.fit", FitForDisplay.AFTER_TREATMENT)
    cell = readiness_of(facts)[4]
    assert [b.code for b in cell.blockers] == ["proposal.missing"]


def test_an_answer_of_after_treatment_leads_to_a_proposal_before_it_is_assessed() -> None:
    facts = put(put(ready(), "proposals", ()), "assessment", None)
    facts = put(put(facts, "stage", Stage.EXAMINATION), "answer.answer", Answer.AFTER_TREATMENT)
    assert marks(facts)["G5"] is GateMark.TO_DO
    assert onward(facts) is MOVES["begin_treatment"]
    facts = put(facts, "answer.answer", Answer.YES)
    assert marks(facts)["G5"] is GateMark.NOT_NEEDED
    assert onward(facts) is MOVES["no_treatment_needed"]


def test_what_is_asked_for_after_the_opening_is_installed_when_it_is_wanted() -> None:
    """Of a late addition nothing was needed before the exhibition's own install."""
    facts = put(ready(), "display.appointments", ())
    late = facts.exhibition.opens + timedelta(days=40)
    assert install_day(put(facts, "request.show_from", late)) == late
    opening = put(facts, "request.show_from", facts.exhibition.opens)
    assert install_day(opening) == facts.exhibition.install_from


def test_lateness_counts_days_from_the_day_of_the_gate() -> None:
    """The row says what is late, whose it is and by how many days."""
    facts = put(ready(), "preparation.imaging.0.accepted", False)
    facts = put(facts, "preparation.imaging.0.person", "Ada Kestrel")
    cell = readiness_of(facts)[5]
    assert cell.late_by == (facts.today - (INSTALL - timedelta(days=35))).days > 0
    assert "Ada Kestrel" in cell.blockers[0].text


def test_what_hangs_already_is_late_for_no_gate_before_the_install() -> None:
    """A run that was taken over names its gaps instead."""
    facts = put(ready(), "preparation.imaging.0.accepted", False)
    assert any(cell.late_by for cell in readiness_of(facts))
    hung = replace(facts, stage=Stage.ON_DISPLAY)
    cells = {cell.gate.code: cell for cell in readiness_of(hung)}
    assert (cells["G6"].mark, cells["G6"].late_by) == (GateMark.TO_DO, 0)
    assert cells["G6"].blockers


def test_a_waived_gate_is_marked_waived() -> None:
    facts = put(ready(), "preparation.caption.approved", False)
    facts = put(facts, "waivers", (WaiverFacts(code="caption.open", by="Wen Castellane"),))
    cell = readiness_of(facts)[8]
    assert (cell.mark, cell.blockers, cell.late_by) == (GateMark.WAIVED, (), 0)
    assert [waiver.by for _, waiver in cell.waived] == ["Wen Castellane"]


def test_every_code_that_belongs_to_a_gate_is_one_that_a_gate_gives() -> None:
    given = {case.key.split(":")[0] for case in BREAKS}
    given |= {"loan.agreement", "loan.clauses", "route.slip"}
    assert set(GATE_OF) <= given


def test_months_end_on_the_last_day_of_a_shorter_month() -> None:
    assert months_after(date(2025, 8, 31), 6) == date(2026, 2, 28)
    assert months_after(date(2025, 12, 15), 1) == date(2026, 1, 15)


def test_the_sheet_names_every_move_gate_waiver_and_right() -> None:
    sheet = process_sheet()
    for move in MOVES.values():
        assert f"| {move.label} |" in sheet
        assert all(gate.__name__.replace("_", " ") in sheet for gate in move.gates)
    assert "own job or gallery" in sheet
    assert "| returned | end | – |" in sheet


@pytest.mark.parametrize(
    ("code", "about", "uid"),
    [
        ("imaging.open", "IM-1", "i"),
        ("facsimile.missing", "B", "FX-2"),
        ("mount.fit", "A", "m"),
        ("consent.missing", "TP-0031 v2 curator", "proposal"),
        ("treatment.report", "TP-0031", "proposal"),
        ("report.unsigned", "CR baseline", "uid baseline"),
        ("object.held", "hold", "hold"),
        ("movement.received", "MV-1", "in"),
        ("movement.arrival", "", "home"),
        ("incident.open", "IN-4", "incident"),
        ("loan.exit", "", "loan"),
        ("hazards.open", "", "object"),
        ("account.left", "B", "object"),
        ("housing.fits", "", ""),
        ("facsimile.missing", "no such face", ""),
    ],
)
def test_a_reason_leads_to_the_record_that_mends_it(code: str, about: str, uid: str) -> None:
    hold = HoldFacts(uid="hold", reason="r", placed_by="p", placed_on=FULL.today)
    facts = put(put(FULL, "object.holds", (hold,)), "object.uid", "object")
    facts = put(facts, "home.open_incidents", (IncidentFacts(uid="incident", number="IN-4"),))
    facts = put(facts, "home.loan.uid", "loan")
    assert subject_uid(facts, code, about) == uid


def test_what_is_not_there_yet_has_no_record() -> None:
    facts = put(put(FULL, "preparation.facsimiles", ()), "home.loan", None)
    assert subject_uid(facts, "facsimile.missing", "A") == ""
    assert subject_uid(facts, "loan.exit", "") == ""


def test_evidence_says_what_a_move_rested_on() -> None:
    home = evidence_of(MOVES["send_home"], lawful("send_home"))
    assert home["housing"] == ["HO-1"]
    assert home["part B"] == ["CR deinstall_at_bench"]
    install = evidence_of(MOVES["install"], lawful("install"))
    assert install["install check"] == ["Marit Oldacre and Bram Oduya; 44 lx, 8 µW/lm"]


@pytest.mark.parametrize("name", MOVES)
def test_evidence_leaves_out_what_is_not_there(name: str) -> None:
    facts = ShowingFacts(stage=Stage.SELECTION, today=FULL.today, moment=FULL.moment)
    facts = replace(facts, faces=FULL.faces)
    assert evidence_of(MOVES[name], facts) == {}
    assert all(evidence_of(MOVES[name], lawful(name)).values())


def test_light_at_the_end_may_be_a_reason_instead_of_a_figure() -> None:
    facts = put(lawful("take_down"), "display.take_down.last_lux", None)
    facts = put(facts, "display.take_down.reading_impossible", "The lamp had failed.")
    assert MOVES["take_down"].blockers(facts) == []
    found = evidence_of(MOVES["take_down"], facts)["light at the end"]
    assert found[0].endswith("The lamp had failed.")


def test_odd_ways_through_the_gates() -> None:
    """Own objects ask no lender; a companion may stand alone; one face hides no other."""
    own = put(put(lawful("take_in"), "object.lender", ""), "home.loan", None)
    assert MOVES["take_in"].blockers(own) == []
    own_home = put(put(lawful("send_home"), "object.lender", ""), "home.loan", None)
    assert MOVES["send_home"].blockers(own_home) == []
    alone = put(lawful("install"), "object.companions.0.placed", False)
    alone = put(alone, "object.companions.0.may_stand_alone", "the card is at the printer")
    assert MOVES["install"].blockers(alone) == []
    one = put(lawful("declare_ready"), "faces", FULL.faces[:1])
    one = put(one, "preparation.facsimiles", ())
    assert MOVES["declare_ready"].blockers(one) == []
    late = put(lawful("take_down"), "display.take_down.early", False)
    assert MOVES["take_down"].blockers(put(late, "display.take_down.reason", "")) == []
    swap = put(lawful("start_rotation"), "display.appointments.0.to_face_id", None)
    swap = put(put(swap, "preparation.mounts", ()), "preparation.facsimiles", ())
    assert MOVES["start_rotation"].blockers(swap) == []
    hidden = put(lawful("start_rotation"), "display.face_shown", None)
    assert MOVES["start_rotation"].blockers(put(hidden, "preparation.facsimiles", ())) == []
    stated = put(lawful("pass_check"), "take_over.missing", frozenset({"part_a"}))
    stated = put(stated, "reports.4.signed", False)
    assert MOVES["pass_check"].blockers(stated) == []
    unbound = put(lawful("install"), "light.faces.0.ceiling", None)
    unbound = put(unbound, "light.faces.1.ceiling", None)
    assert MOVES["install"].blockers(unbound) == []
    for other in (FAR, replace(NEAR, accepted=False)):
        promised = put(lawful("take_in"), "object.others", (other,))
        assert MOVES["take_in"].blockers(promised) == []
    before = replace(FAR, first=date(2025, 1, 1), last=date(2026, 3, 8))
    promised = put(lawful("take_in"), "object.others", (before,))
    assert MOVES["take_in"].blockers(promised) == []
    seen = put(put(lawful("request"), "object.others", (NEAR,)), "request.duplicates_seen", True)
    assert MOVES["request"].blockers(seen) == []


def test_onward_follows_proposals_and_turns() -> None:
    facts = lawful("begin_treatment")
    names = []
    for changed in (
        facts,
        put(facts, "proposals.0.report_signed", True),
        put(facts, "proposals.0.aftercare", True),
        lawful("start_rotation"),
        put(lawful("start_rotation"), "display.appointments", ()),
        lawful("send_home"),
    ):
        move = onward(changed)
        assert move is not None
        names.append(move.name)
    assert names == [
        "begin_treatment",
        "no_treatment_needed",
        "no_treatment_needed",
        "start_rotation",
        "take_down",
        "send_home",
    ]
    assert onward(put(facts, "stage", Stage.DECLINED)) is None


def test_the_facts_know_their_own_story() -> None:
    assert FULL.proposals[0].limits == ("no damp",)
    assert FULL.proposals[0].consented
    baseline = FULL.baseline
    assert baseline is not None
    assert baseline.kind is ReportKind.DEINSTALL_AT_BENCH
    assert lawful("send_home").taken_down_at is not None
    assert FULL.taken_down_at is None
    assert not FULL.taken_over
    assert FULL.preparation.mount_fits(A)
    assert not FULL.preparation.mount_fits(77)
    assert FULL.preparation.facsimile_of(77) is None
