"""Every gate of every move, broken alone: what is changed, and the one reason that must follow.

Written move by move from what each must wait for, and not from the gates.
"""

from dataclasses import replace
from datetime import date, datetime
from typing import NamedTuple

from lifecycle.process.facts.home import IncidentFacts, PaperFacts
from lifecycle.process.facts.objects import HoldFacts, OtherShowing
from lifecycle.process.facts.showing import ShowingFacts
from lifecycle.process.facts.treatment import AskedAgainFacts
from lifecycle.process.finding_effects import AskedKind
from lifecycle.process.ink import InkLevel
from lifecycle.process.stages import Role
from lifecycle.process.words import Answer, FitForDisplay, Hazard, LightKind
from tests.process.lawful import NOW, A, B, lawful, moment, put

HELD = (HoldFacts(uid="hold", reason="a split", placed_by="Marit Oldacre", placed_on=NOW.date()),)
FAR = OtherShowing(
    showing_no="RQ-0050",
    exhibition="Glass and Frost",
    first=date(2027, 1, 1),
    last=date(2027, 3, 1),
    accepted=True,
    past_selection=False,
    travel_days=5,
)
NEAR = replace(FAR, first=date(2026, 9, 10))
UNDER_WAY = replace(FAR, past_selection=True)


IN_DOUBT = AskedAgainFacts(
    uid="finding",
    feature="F7",
    kind=AskedKind.CONSENT,
    number="TP-0031 v2",
    because="it was given without knowing of this face",
    role=Role.CURATOR,
    asked_on=NOW.date(),
)


class Break(NamedTuple):
    """``changes`` are path and value pairs; ``key`` is code and what it is about."""

    move: str
    key: str
    changes: tuple[tuple[str, object], ...]

    def facts(self) -> ShowingFacts:
        facts = lawful(self.move)
        for path, value in self.changes:
            facts = put(facts, path, value)
        return facts


def _one(move: str, key: str, path: str, value: object, *more: object) -> Break:
    pairs = [(path, value)]
    pairs += [(str(more[i]), more[i + 1]) for i in range(0, len(more), 2)]
    return Break(move, key, tuple(pairs))


BASE, AFTER, OFF, ON, PART_A, PART_B = (f"reports.{n}" for n in range(6))
LOAN = "home.loan"
PREP = "preparation"


def report_moved(name: str, to: datetime) -> tuple[tuple[str, object], ...]:
    return ((f"{name}.examined_at", to), (f"{name}.examined_on", to.date()))


_SHOWN = ("declare_ready", "install", "show_again")
_MOVED = ("install", "start_rotation", "send_home", "pass_on")
INK = (
    *(_one(move, "ink.level:A", "object.ink.0.level", InkLevel.BAD) for move in _SHOWN),
    *(_one(move, "ink.sign_off:A", "object.ink.0.signed_off", "") for move in _MOVED),
)
_HOLD_STOPS = (
    "take_in",
    "begin_treatment",
    "no_treatment_needed",
    "finish_treatment",
    "declare_ready",
    "install",
    "start_rotation",
    "show_again",
    "pass_check",
    "aftercare",
    "send_home",
    "pass_on",
)
HOLDS = tuple(_one(move, "object.held:hold", "object.holds", HELD) for move in _HOLD_STOPS)

REQUEST = (
    _one("request", "request.object", "object.number", ""),
    _one("request", "request.exhibition", "exhibition.over", True),
    _one("request", "request.reason", "request.reason", " "),
    _one("request", "request.dates", "request.show_to", date(2026, 9, 7)),
    _one("request", "request.dates", "request.show_from", date(2026, 3, 13)),
    _one("request", "request.dates", "request.show_from", date(2026, 9, 7)),
    _one("request", "request.faces", "faces", ()),
    _one("request", "request.faces", "faces.1.order", 1),
    _one("request", "request.alternatives", "request.alternatives", 0),
    _one("request", "request.duplicate:RQ-0050", "object.others", (FAR,)),
)
TAKE_OVER = (
    _one("take_over", "request.object", "object.number", ""),
    _one("take_over", "takeover.period", "take_over.period_open", False),
    _one("take_over", "takeover.where", "take_over.entered", False),
    _one("take_over", "takeover.where", "take_over.face", False),
    _one("take_over", "takeover.where", "take_over.place", False),
    _one("take_over", "takeover.since", "take_over.since", False),
    _one("take_over", "takeover.report", "take_over.report_none_known", False),
    _one("take_over", "takeover.light", "take_over.light_so_far", False),
    _one("take_over", "takeover.missing", "take_over.missing_listed", False),
    _one("take_over", "object.elsewhere:RQ-0050", "object.others", (UNDER_WAY,)),
)
TAKE_IN = (
    _one("take_in", "answer.missing", "answer", None),
    _one("take_in", "answer.no", "answer.answer", Answer.NO_UNTIL),
    _one("take_in", "answer.no", "answer.answer", Answer.FACSIMILE_ONLY),
    _one("take_in", "request.faces", "faces", ()),
    _one("take_in", "face.never_show:B", "faces.1.never_show", True),
    _one("take_in", "object.elsewhere:RQ-0050", "object.others", (UNDER_WAY,)),
    _one("take_in", "booking.overlap:RQ-0050", "object.others", (NEAR,)),
    _one("take_in", "account.missing:B", "light.faces.1.face_id", 77),
    _one("take_in", "account.missing:B", "light.faces.1.missing", ("a timetable of its place",)),
    _one("take_in", "account.left:A", "light.faces.0.planned", 75_001),
    _one("take_in", "account.resting:A", "light.faces.0.resting_until", date(2026, 3, 15)),
    _one("take_in", "lender.leave", f"{LOAN}.leave_asked", False),
    _one("take_in", "lender.leave", LOAN, None),
    _one("take_in", "lender.refused", f"{LOAN}.leave_refused", True),
)
DECLINE = (
    _one("decline", "decline.answer", "answer", None),
    _one("decline", "decline.answer", "answer.answer", Answer.YES),
    _one("decline", "decline.grounds", "answer.grounds", False),
    _one("decline", "decline.inputs", "answer.stored", False),
)
BEGIN = (
    _one("begin_treatment", "baseline.report:B", f"{BASE}.faces", frozenset({A}),
         f"{AFTER}.faces", frozenset({A}), f"{PART_B}.faces", frozenset({A})),
    _one("begin_treatment", "proposal.missing", "proposals", ()),
    _one("begin_treatment", "proposal.missing", "proposals.0.sent", False),
    _one("begin_treatment", "proposal.missing:TP-0031", "proposals.0.consents", ()),
    _one("begin_treatment", "consent.missing:TP-0031 v2 curator",
         "proposals.0.consents.0.agreed", False, "proposals.0.consents.0.decided", False),
    _one("begin_treatment", "consent.missing:TP-0031 v2 curator",
         "proposals.0.consents.0.agreed", False, "proposals.0.consents.0.answer", "change asked"),
    _one("begin_treatment", "consent.missing:TP-0031 v2 lender",
         "proposals.0.consents.1.agreed", False,
         "proposals.0.consents.1.lapsed_on", date(2026, 1, 1)),
)  # fmt: skip
NO_TREATMENT = (
    _one("no_treatment_needed", "baseline.report:A", f"{BASE}.faces", frozenset({B}),
         f"{AFTER}.faces", frozenset({B}), f"{PART_B}.faces", frozenset({B})),
    _one("no_treatment_needed", "assessment.missing", "assessment", None),
    _one("no_treatment_needed", "assessment.missing", "assessment.signed", False),
    _one("no_treatment_needed", "assessment.not_fit", "assessment.fit",
         FitForDisplay.AFTER_TREATMENT),
)  # fmt: skip
FINISH = (
    _one("finish_treatment", "treatment.report:TP-0031", "proposals.0.report_signed", False),
    _one("finish_treatment", "treatment.report", "proposals", ()),
    _one("finish_treatment", "treatment.check", f"{AFTER}.signed", False),
    Break("finish_treatment", "treatment.check", report_moved(AFTER, moment(7, 31))),
    _one("finish_treatment", "treatment.images:A", "proposals.0.faces.0.before", frozenset()),
    _one("finish_treatment", "treatment.images:A", "proposals.0.faces.0.after",
         frozenset({LightKind.UV_FLUORESCENCE})),
    _one("finish_treatment", "treatment.deviation:step 4", "proposals.0.open_deviations",
         ("step 4",)),
    _one("finish_treatment", "finding.asked:F7 consent TP-0031 v2", "asked_again", (IN_DOUBT,)),
)  # fmt: skip
FRESH = (
    *report_moved(BASE, moment(1, 12).replace(year=2025)),
    (f"{AFTER}.signed", False),
    (f"{PART_B}.signed", False),
)
READY = (
    Break("declare_ready", "look.fresh:A", (*FRESH, ("faces", (lawful("request").faces[0],)))),
    _one("declare_ready", "look.fresh:A", "last_moved_at", moment(9, 9),
         "faces", (lawful("request").faces[0],)),
    _one("declare_ready", "request.faces", "faces", ()),
    _one("declare_ready", "finding.asked:F7 mount MT-1", "asked_again",
         (replace(IN_DOUBT, kind=AskedKind.MOUNT, number="MT-1"),)),
    _one("declare_ready", "imaging.open:IM-1", f"{PREP}.imaging.0.accepted", False),
    _one("declare_ready", "facsimile.missing:B", f"{PREP}.facsimiles.1.face_id", 77),
    _one("declare_ready", "facsimile.missing:B", f"{PREP}.facsimiles.1.approved", False),
    _one("declare_ready", "facsimile.missing:A", f"{PREP}.facsimiles.0.delivered", False),
    _one("declare_ready", "mount.fit:B", f"{PREP}.mounts.0.fits", frozenset({A})),
    _one("declare_ready", "caption.open", f"{PREP}.caption.approved", False),
    _one("declare_ready", "caption.open", f"{PREP}.caption.facsimile_worded", False),
    _one("declare_ready", "place.planned", "place", ""),
    _one("declare_ready", "case.built", f"{PREP}.case.built", False),
    _one("declare_ready", "case.built", f"{PREP}.case.cleaned", False),
    _one("declare_ready", "case.curing", f"{PREP}.case.cure_until", date(2026, 2, 3),
         ),
    _one("declare_ready", "case.proof", f"{PREP}.case.proof", False),
    _one("declare_ready", "case.proof", f"{PREP}.case.outside", True),
    _one("declare_ready", "case.proof", f"{PREP}.case.lamp_since", "lamp L1 of N3 was changed"),
    _one("declare_ready", "case.proof", f"{PREP}.case.buffer_open", "the buffer is not there"),
    _one("declare_ready", "light.proof", f"{PREP}.light_proof", None),
    _one("declare_ready", "light.proof", f"{PREP}.light_proof.uv", None),
    _one("declare_ready", "light.no_ceiling", "light.faces.0.ceiling", None,
         "light.faces.1.ceiling", None),
    _one("declare_ready", "light.ceiling", f"{PREP}.light_proof.lux", 51),
    _one("declare_ready", "light.ceiling", f"{PREP}.light_proof.uv", 11),
    _one("declare_ready", "route.open", f"{PREP}.route.walked", False),
    _one("declare_ready", "route.open", f"{PREP}.route.people", 0),
    _one("declare_ready", "route.hazards", f"{PREP}.route.hazards_read", False),
    _one("declare_ready", "hazards.open", "object.hazards", frozenset()),
    _one("declare_ready", "hazards.open", "object.hazards", frozenset({Hazard.NOT_ASSESSED})),
)  # fmt: skip
INSTALL = (
    _one("install", "install.check", "display.install", None),
    _one("install", "install.two", "display.install.signed_by", ("Marit Oldacre",)),
    _one("install", "install.two", "display.install.signed_by", ("Marit Oldacre",) * 2),
    _one("install", "install.mount", "display.install.mount_fits", False),
    _one(
        "declare_ready",
        "companion.apart:HCM.1899.3",
        "object.companions.0.apart",
        "is planned for N5",
    ),
    _one("install", "companion.missing:HCM.1899.3", "object.companions.0.placed", False),
    _one("install", "courier.install", "display.install.courier_present", False),
    _one("install", "install.face", "display.install.face_id", B),
    _one("install", "install.way_up", "display.install.right_way_up", False),
    _one("install", "install.photo", "display.install.photographed", False),
    _one("install", "install.lux", "display.install.lux", None),
    _one("install", "install.ceiling", "display.install.lux", 51),
    _one("install", "install.uv", "display.install.uv", None),
    _one("install", "install.ceiling:uv", "display.install.uv", 11),
    _one("install", "movement.received", "home.movements.0.to_position", False),
    _one("install", "movement.received", "home.movements.0.received_signed", False),
    _one("install", "movement.received:MV-2", "home.movements.1.arrived_at", None),
    _one("install", "position.taken:HCM.M.88", "display.position_taken_by", "HCM.M.88"),
)
ROTATION = (
    _one("start_rotation", "rotation.off_going", f"{OFF}.signed", False),
    _one("start_rotation", "rotation.off_going", f"{OFF}.faces", frozenset({B})),
    Break("start_rotation", "rotation.off_going", report_moved(OFF, moment(3, 10))),
    _one("start_rotation", "rotation.feature:F7", f"{OFF}.not_answered", ("F7",)),
    _one("start_rotation", "mount.fit:B", f"{PREP}.mounts.0.fits", frozenset({A})),
    _one("start_rotation", "facsimile.missing:A", f"{PREP}.facsimiles.0.approved", False),
    _one("show_again", "rotation.on_coming", f"{ON}.signed", False),
    Break("show_again", "rotation.on_coming", report_moved(ON, moment(9, 6))),
    _one("show_again", "rotation.photo", f"{ON}.photographed", False),
    _one("show_again", "rotation.check", "display.show_again", None),
    _one("show_again", "install.two", "display.show_again.signed_by", ()),
    _one("show_again", "install.mount", "display.show_again.mount_fits", False),
    _one("show_again", "install.way_up", "display.show_again.right_way_up", False),
    _one("show_again", "install.photo", "display.show_again.photographed", False),
    _one("show_again", "install.lux", "display.show_again.lux", None),
    _one("show_again", "install.uv", "display.show_again.uv", None),
    _one("show_again", "install.ceiling", "display.show_again.lux", 51),
    _one("show_again", "rotation.facsimile", "display.show_again.facsimile_right", False),
    _one("show_again", "rotation.facsimile", "display.show_again.caption_right", False),
    _one("show_again", "courier.turn", "display.show_again.courier_present", False),
    _one("show_again", "position.taken:HCM.M.88", "display.position_taken_by", "HCM.M.88"),
)
DOWN = (
    _one("take_down", "companion.named:HCM.1899.3", "object.companions.0.taken_down", False),
    _one("take_down", "part_a.missing", f"{PART_A}.signed", False),
    _one("take_down", "takedown.lamps", "display.take_down.lamps_off_at", None),
    _one("take_down", "takedown.light", "display.take_down.last_lux", None),
    _one("take_down", "takedown.reason", "display.take_down.reason", ""),
    _one("take_down", "takedown.told:curator", "display.take_down.told_curator", False),
    _one("take_down", "takedown.told:lender", "display.take_down.told_lender", False),
)


def _compared(move: str) -> tuple[Break, ...]:
    return (
        _one(move, "part_b.missing", f"{PART_B}.signed", False),
        Break(move, "part_b.missing", report_moved(PART_B, moment(9, 6))),
        _one(move, "part_b.compared", f"{PART_B}.compared_with", ""),
        _one(move, "part_b.light:raking", f"{PART_B}.lights", frozenset({LightKind.DIFFUSE})),
        _one(move, "part_b.feature:F7", f"{PART_B}.not_answered", ("F7",)),
    )


def _found(move: str) -> tuple[Break, ...]:
    return (
        _one(move, "part_a.missing", f"{PART_A}.signed", False),
        _one(move, "part_a.countersign", f"{PART_A}.signed_by_conservator", False),
    )


def _answered(move: str) -> tuple[Break, ...]:
    return (
        _one(move, "change.answer:F9", f"{PART_B}.changes.0.answered", False),
        _one(move, "change.incident:F9", f"{PART_B}.changes.0.has_incident", False),
    )


CHECKED = (
    *_found("pass_check"),
    *_compared("pass_check"),
    *_answered("pass_check"),
    _one("pass_check", "courier.deinstall", f"{PART_B}.courier_signed", False),
    *_compared("aftercare"),
    _one("aftercare", "proposal.missing", "proposals", ()),
    _one("aftercare", "consent.missing:TP-0031 v2 curator",
         "proposals.0.consents.0.agreed", False, "proposals.0.consents.0.decided", False),
)  # fmt: skip
HOME = (
    *(b for b in _found("send_home") if b.key != "part_a.missing"),
    *(b for b in _compared("send_home") if b.key != "part_b.missing"),
    Break("send_home", "part_b.missing", report_moved(PART_B, moment(9, 6))),
    _one("send_home", "housing.fits", f"{PREP}.housing.fits", False),
    _one("send_home", "housing.fits:plate 5", f"{PREP}.housing.fits", False,
         f"{PREP}.housing.not_housed", ("plate 5",)),
    _one("send_home", "housing.label", f"{PREP}.housing.label_printed", False),
    _one("send_home", "movement.home", "home.movements.1.to_home", False),
    _one("send_home", "movement.home", "home.movements.1.sent_signed", False),
    _one("send_home", "movement.received", "home.movements.1.received_signed", False),
    _one("send_home", "movement.arrival", "home.movements.1.confirmed", False),
    _one("send_home", "incident.open:IN-1", "home.open_incidents",
         (IncidentFacts(uid="i", number="IN-1"),)),
    _one("send_home", "report.unsigned:CR off_going_face", f"{OFF}.signed", False),
    _one("send_home", "consent.unanswered:TP-0031 v2 curator",
         "proposals.0.report_signed", False, "proposals.0.consents.0.decided", False),
    _one("send_home", "paper.out:PR-1", "home.papers_out",
         (PaperFacts(number="PR-1", title="de-install form", expected_on=date(2026, 9, 1)),)),
    _one("send_home", "loan.exit", f"{LOAN}.exit_authorised", False),
    _one("send_home", "loan.receipt", f"{LOAN}.receipt_signed", False),
    _one("send_home", "resting.stored", "home.resting_stored", False),
)  # fmt: skip
PASS_ON = (
    *_found("pass_on"),
    *_compared("pass_on"),
    *_answered("pass_on"),
    _one("pass_on", "next.missing", "next", None),
    _one("pass_on", "next.answer:RQ-0099", "next.accepted", False),
    _one("pass_on", "next.account:RQ-0099", "next.account_open", False),
    _one("pass_on", "housing.travel", f"{PREP}.housing.fit_for_travel", False),
    _one("pass_on", "movement.next", "home.movements.1.to_next", False),
)
WITHDRAW = (
    _one("withdraw", "withdraw.substitute", "request.substitute", ""),
    _one("withdraw", "object.back", "object.at_home", False),
)

BREAKS: tuple[Break, ...] = (
    *INK,
    *HOLDS,
    *REQUEST,
    *TAKE_OVER,
    *TAKE_IN,
    *DECLINE,
    *BEGIN,
    *NO_TREATMENT,
    *FINISH,
    *READY,
    *INSTALL,
    *ROTATION,
    *DOWN,
    *CHECKED,
    *HOME,
    *PASS_ON,
    *WITHDRAW,
)
