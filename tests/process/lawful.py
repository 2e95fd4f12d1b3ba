"""Facts with which every move is free, one change away from each refusal.

The object is a lent one with two faces and every clause a loan can carry, so that no gate is
passed because it does not apply. Names after the demo museum, all invented.
"""

from dataclasses import fields, is_dataclass, replace
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any, TypeVar, cast

from lifecycle.process.facts.condition import FeatureAnswer, ReportFacts
from lifecycle.process.facts.display import (
    AppointmentFacts,
    DisplayFacts,
    InstallCheckFacts,
    OnShow,
    TakeDownFacts,
)
from lifecycle.process.facts.home import HomeFacts, LoanFacts, MovementFacts
from lifecycle.process.facts.light import FaceLight, ShowingLight
from lifecycle.process.facts.objects import Companion, InkFacts, ObjectFacts, PlanFace
from lifecycle.process.facts.preparation import (
    CaptionFacts,
    CaseFacts,
    FacsimileFacts,
    HousingFacts,
    ImagingFacts,
    LightProof,
    MountFacts,
    PreparationFacts,
    RouteFacts,
)
from lifecycle.process.facts.showing import (
    AnswerFacts,
    AssessmentFacts,
    ExhibitionFacts,
    MoveMade,
    NextFacts,
    RequestFacts,
    ShowingFacts,
    TakeOverFacts,
)
from lifecycle.process.facts.treatment import ConsentFacts, ProposalFacts, TreatedFace
from lifecycle.process.ink import InkLevel
from lifecycle.process.moves import MOVES
from lifecycle.process.saying import Saying
from lifecycle.process.stages import Role, Stage
from lifecycle.process.words import (
    Answer,
    FeatureState,
    FitForDisplay,
    Hazard,
    LightKind,
    ReportKind,
)

F = TypeVar("F")
NUMBER = "L2026.1"
A, B = 1, 2
NOW = datetime(2026, 9, 8, 9, 0, tzinfo=UTC)
WITH = frozenset({LightKind.DIFFUSE, LightKind.RAKING})


def moment(month: int, day: int) -> datetime:
    return datetime(2026, month, day, 9, 0, tzinfo=UTC)


def _report(kind: ReportKind, at: datetime, **values: Any) -> ReportFacts:
    values.setdefault("faces", frozenset({A, B}))
    values.setdefault("uid", f"uid {kind}")
    return ReportFacts(
        report_no=f"CR {kind}",
        kind=kind,
        examined_on=at.date(),
        examined_at=at,
        signed=True,
        signed_by_conservator=True,
        photographed=True,
        lights=WITH,
        **values,
    )


REPORTS = (
    _report(ReportKind.BASELINE, moment(1, 12)),
    _report(ReportKind.AFTER_TREATMENT, moment(8, 20)),
    _report(ReportKind.OFF_GOING_FACE, moment(9, 7)),
    _report(ReportKind.ON_COMING_FACE, moment(9, 7)),
    _report(ReportKind.DEINSTALL_AT_CASE, moment(9, 7)),
    _report(
        ReportKind.DEINSTALL_AT_BENCH,
        moment(9, 8),
        courier_signed=True,
        compared_with="CR baseline",
        compared_lights=WITH,
        changes=(
            FeatureAnswer(
                feature="F9",
                state=FeatureState.FIRST_RECORD,
                answered=True,
                incident_needed=True,
                has_incident=True,
            ),
        ),
    ),
)
CHECK = InstallCheckFacts(
    uid="check",
    signed_by=("Marit Oldacre", "Bram Oduya"),
    face_id=A,
    right_way_up=True,
    photographed=True,
    mount_fits=True,
    lux=Decimal(44),
    uv=Decimal(8),
    courier_present=True,
    caption_right=True,
    facsimile_right=True,
    at=NOW,
)
PROPOSAL = ProposalFacts(
    uid="proposal",
    number="TP-0031",
    version=2,
    consents=(
        ConsentFacts(role=Role.CURATOR, person="Wen Castellane", decided=True, agreed=True),
        ConsentFacts(role=Role.LENDER, decided=True, agreed=True, limits="no damp"),
    ),
    faces=(TreatedFace(face_id=A, label="A", before=WITH, after=WITH),),
)
FULL = ShowingFacts(
    stage=None,
    today=NOW.date(),
    moment=NOW,
    showing_no="RQ-0007",
    uid="showing",
    exhibition=ExhibitionFacts(
        code="RBN",
        title="Rain by Noon",
        install_from=date(2026, 3, 2),
        opens=date(2026, 3, 14),
        closes=date(2026, 9, 6),
        deinstall_until=date(2026, 9, 18),
    ),
    request=RequestFacts(
        reason="It shows the squall.",
        show_from=date(2026, 3, 14),
        show_to=date(2026, 9, 6),
        alternatives=1,
        substitute="HCM.M.88",
    ),
    object=ObjectFacts(
        number=NUMBER,
        title="Squall over Hallin Water",
        hazards=frozenset({Hazard.NONE_KNOWN}),
        lender="Saltmarsh Observatory Trust",
        current_place="Shelf 4",
        normal_place="Shelf 4",
        companions=(Companion(object_number="HCM.1899.3", placed=True, taken_down=True),),
        ink=(
            InkFacts(
                face_id=A,
                face="A",
                level=InkLevel.POOR,
                area="lines 3 to 9",
                report="CR baseline",
                signed_off="Marit Oldacre",
            ),
        ),
    ),
    faces=(PlanFace(face_id=A, label="A", order=1), PlanFace(face_id=B, label="B", order=2)),
    answer=AnswerFacts(answer=Answer.YES, on=date(2025, 10, 1), grounds=True, stored=True),
    assessment=AssessmentFacts(fit=FitForDisplay.YES_WITH_CONDITIONS, signed=True),
    reports=REPORTS,
    proposals=(PROPOSAL,),
    preparation=PreparationFacts(
        imaging=(
            ImagingFacts(uid="i", job_no="IM-1", face="A", purpose="record before", accepted=True),
        ),
        facsimiles=tuple(
            FacsimileFacts(uid=n, face_id=f, number=n, approved=True, delivered=True, placed=True)
            for f, n in ((A, "FX-1"), (B, "FX-2"))
        ),
        mounts=(
            MountFacts(uid="m", number="MT-1", fits=frozenset({A, B}), faces=frozenset({A, B})),
        ),
        caption=CaptionFacts(approved=True),
        case=CaseFacts(built=True, cleaned=True, cure_until=date(2026, 2, 1), proof=True),
        light_proof=LightProof(lux=Decimal(48), uv=Decimal(9), on=date(2026, 3, 3)),
        route=RouteFacts(walked=True, hazards_read=True, people=2, equipment=True),
        housing=HousingFacts(
            uid="h",
            number="HO-1",
            specified=True,
            fits=True,
            label_printed=True,
            fit_for_travel=True,
        ),
    ),
    light=ShowingLight(
        faces=tuple(
            FaceLight(
                face_id=f,
                left=Decimal(75_000),
                planned=Decimal(30_000),
                ceiling=Decimal(50),
                uv_ceiling=Decimal(10),
            )
            for f in (A, B)
        )
    ),
    display=DisplayFacts(
        face_shown=A,
        shown_since=moment(3, 11),
        position="N4, position 1",
        install=CHECK,
        show_again=replace(CHECK, face_id=B),
        appointments=(
            AppointmentFacts(
                uid="turn",
                kind=OnShow.TURN,
                day=date(2026, 9, 7),
                people=("Marit Oldacre", "Bram Oduya"),
                to_face_id=B,
                to_face="B",
                occurrence="AP-1",
            ),
        ),
        take_down=TakeDownFacts(
            uid="down",
            lamps_off_at=NOW,
            last_lux=Decimal(44),
            early=True,
            reason="A leak above the case.",
            told_curator=True,
            told_lender=True,
        ),
    ),
    home=HomeFacts(
        movements=(
            MovementFacts(
                uid="in",
                number="MV-1",
                to_place="N4",
                to_position=True,
                sent_signed=True,
                received_signed=True,
                left_at=moment(3, 11),
                arrived_at=moment(3, 11),
                confirmed=True,
            ),
            MovementFacts(
                uid="home",
                number="MV-2",
                to_place="Shelf 4",
                to_home=True,
                to_next=True,
                sent_signed=True,
                received_signed=True,
                left_at=NOW,
                arrived_at=NOW,
                confirmed=True,
            ),
        ),
        loan=LoanFacts(
            number="LN-1",
            lender="Saltmarsh Observatory Trust",
            agreement_signed=True,
            clauses_entered=True,
            leave_asked=True,
            leave_answer="given",
            courier_at_install=True,
            courier_at_turn=True,
            courier_at_deinstall=True,
            exit_authorised=True,
            receipt_signed=True,
        ),
        resting_stored=True,
    ),
    take_over=TakeOverFacts(
        period_open=True,
        entered=True,
        face=True,
        place=True,
        since=True,
        report_none_known=True,
        light_so_far=True,
        missing_listed=True,
    ),
    next=NextFacts(
        showing_no="RQ-0099", exhibition="Glass and Frost", accepted=True, account_open=True
    ),
    place="N4, position 1",
)
START: dict[str, Stage | None] = {
    "request": None,
    "take_over": None,
    "take_in": Stage.SELECTION,
    "decline": Stage.SELECTION,
    "begin_treatment": Stage.EXAMINATION,
    "no_treatment_needed": Stage.EXAMINATION,
    "finish_treatment": Stage.TREATMENT,
    "look_again": Stage.MOUNTING,
    "declare_ready": Stage.MOUNTING,
    "install": Stage.READY,
    "start_rotation": Stage.ON_DISPLAY,
    "show_again": Stage.ROTATION,
    "take_down": Stage.ON_DISPLAY,
    "pass_check": Stage.DEINSTALL_CHECK,
    "aftercare": Stage.DEINSTALL_CHECK,
    "send_home": Stage.REHOUSING,
    "pass_on": Stage.DEINSTALL_CHECK,
    "withdraw": Stage.SELECTION,
}


def put(facts: F, path: str, value: object) -> F:
    """Return the facts with the value at a dotted path changed; numbers pick from a tuple."""
    head, _, rest = path.partition(".")
    if isinstance(facts, tuple):
        index = int(head)
        changed = put(facts[index], rest, value) if rest else value
        return cast("F", (*facts[:index], changed, *facts[index + 1 :]))
    assert is_dataclass(facts)
    assert head in {field.name for field in fields(facts)}, f"no field {head}"
    changed = put(getattr(facts, head), rest, value) if rest else value
    return cast("F", replace(cast("Any", facts), **{head: changed}))


def made(move: str, to: Stage, at: datetime, source: Stage | None = None) -> MoveMade:
    return MoveMade(uid=f"{move} {at}", move=move, from_stage=source, to_stage=to, at=at)


def lawful(move: str) -> ShowingFacts:
    """Return facts with which this move has nothing in its way."""
    facts = put(FULL, "stage", START[move])
    if move == "decline":
        facts = put(facts, "answer.answer", Answer.NO)
    if move in ("finish_treatment", "send_home"):
        facts = put(facts, "proposals.0.report_signed", True)
    if move == "declare_ready":
        facts = put(facts, "today", date(2026, 2, 2))
    if move == "finish_treatment":
        begun = made("begin_treatment", Stage.TREATMENT, moment(8, 1))
        facts = put(facts, "journal", (begun,))
    if move == "aftercare":
        facts = put(facts, "proposals.0.aftercare", True)
    if move in ("pass_check", "pass_on", "aftercare", "send_home"):
        down = made("take_down", Stage.DEINSTALL_CHECK, moment(9, 7))
        facts = put(facts, "journal", (down,))
    if move == "show_again":
        begun = made("start_rotation", Stage.ROTATION, moment(9, 7))
        facts = put(facts, "journal", (begun,))
    if move in ("no_treatment_needed",):
        facts = put(facts, "proposals", ())
    return facts


def said(move: str) -> Saying:
    """Return the words and names that leave no question of this move open."""
    roles = MOVES[move].roles
    return Saying(
        role=Role.REGISTRAR if Role.REGISTRAR in roles and len(roles) == 1 else sorted(roles)[0],
        by=1,
        reason="So that it is told.",
        second=2,
        second_role=Role.CONSERVATOR,
        limits_read=True,
        to=Stage.ON_DISPLAY if move == "take_over" else None,
    )
