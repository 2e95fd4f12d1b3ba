"""Two treatments of the demo: one told to its end, one in which something came to light."""

from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

from lifecycle.actions.demo.cast import Cast
from lifecycle.actions.demo.looking import answer_all, picture_of, sign_whole, start, word
from lifecycle.actions.demo.preparing import faces_of
from lifecycle.actions.treatment.calling_back import call_back_all
from lifecycle.actions.treatment.finding import FoundInTreatment, record_finding
from lifecycle.actions.treatment.logging import MediumTested, StepDone, log_step
from lifecycle.actions.treatment.reporting import (
    pair_pictures,
    second_read,
    sign_report,
    start_report,
    write_report,
)
from lifecycle.actions.treatment.testing import ResultSaid, record_result
from lifecycle.process.material_tests import HowTested, MaterialUse, Rating
from lifecycle.process.words import CompareResult, LightKind, ReportKind
from lifecycle.records.models import ConditionReport, Face, Picture, PicturePurpose, Vocabulary
from lifecycle.records.models.treatment import (
    Proposal,
    SpotLiquid,
    SpotOutcome,
    TreatmentReport,
    TreatmentStep,
)


def _log(cast: Cast, proposal: Proposal, at: datetime, code: str, **said: Any) -> TreatmentStep:
    return log_step(
        museum_object=proposal.museum_object,
        proposal=proposal,
        done=StepDone(step=word(Vocabulary.TREATMENT_STEP, code), observed_at=at, **said),
        **cast.acting("marit", at + timedelta(minutes=10)),
    )


def treat_plate(cast: Cast, proposal: Proposal, at: datetime) -> TreatmentStep:
    """The pink ran in its test; hinges renewed and the margin mended all the same, and why."""
    face = faces_of(_showing(proposal))[0]
    tissue, paste = cast.stock["tissue"], cast.stock["paste"]
    _log(
        cast,
        proposal,
        at,
        "test",
        face=face,
        area="A3",
        minutes=Decimal("0.5"),
        hours=Decimal("0.25"),
        result="Pink on the blotter within two seconds. No water comes near the paint.",
        test=MediumTested(
            medium="pink lake of the upper cloud",
            liquid=SpotLiquid.WATER,
            outcome=SpotOutcome.RAN,
        ),
    )
    _log(
        cast,
        proposal,
        at + timedelta(minutes=30),
        "surface-clean",
        face=face,
        area="margins",
        minutes=Decimal(25),
        hours=Decimal("0.5"),
        result="Dust lifted from the margins with a soft brush; the paint was not touched.",
    )
    hinged = _log(
        cast,
        proposal,
        at + timedelta(minutes=80),
        "rehinge",
        material=tissue,
        amount="two hinges, 15 by 40 mm",
        face=face,
        area="A2",
        hours=Decimal("1.5"),
        removed="Two old paper hinges, one with a pencilled 4",
        removed_where="Object file, envelope 2",
        result="Old hinges let go dry with a spatula; two new ones at the top edge.",
    )
    mended = _log(
        cast,
        proposal,
        at + timedelta(minutes=150),
        "mend",
        material=paste,
        amount="the tip of a fine brush",
        minutes=Decimal(40),
        face=face,
        area="C3",
        hours=Decimal("1.25"),
        caution_reason=(
            "The pink runs, but the tear lies 40 mm from it in the blank margin; the paste was "
            "stiff, and a blotter lay between."
        ),
        result="Edges meet; dried between blotters under a light weight. No tide line.",
    )
    _find(
        cast,
        hinged,
        at + timedelta(minutes=95),
        face,
        "hinge-remains",
        what="Gum of a third, older hinge under the left one, 12 mm wide. Left in place: it holds.",
        zone="A2",
    )
    return mended


def report_on_plate(cast: Cast, proposal: Proposal, at: datetime) -> TreatmentReport:
    """Looked at again under the same lights, told in a report, signed, and read by a second."""
    showing = _showing(proposal)
    face = faces_of(showing)[0]
    check = start(cast, showing, ReportKind.AFTER_TREATMENT, [face], at)
    answer_all(cast, check, at, by="marit", treated=("tear", "hinge-remains"))
    check.refresh_from_db()
    sign_whole(
        cast,
        check,
        at,
        by="marit",
        words="The margin holds; the plate hangs free from two hinges at the top edge.",
        result=CompareResult.CHANGE_SEEN,
    )
    said = cast.acting("marit", at + timedelta(hours=1))
    draft = start_report(proposal=proposal, **said)
    draft = write_report(
        report=draft,
        edition=draft.edition,
        words={
            "summary": (
                "Dust was lifted from the margins, two old hinges were renewed with mulberry "
                "tissue, and an edge tear in the lower margin was mended with stiff paste."
            ),
            "not_done": "The gum of a third hinge stayed: taking it off wants water near the sky.",
            "remaining_risks": "The pink runs at a touch of water. A leak would be its end.",
            "new_limits": "Hangs from two hinges; never wetted, not even to take the hinges off.",
            "housing_advice": "Window mat of unbuffered cotton board; nothing touches the paint.",
            "take_off": (
                "The mend lets go with a barely damp swab from the back of the margin; the hinges "
                "are cut and lifted dry."
            ),
            "removed_kept_where": "Object file, envelope 2: two old paper hinges.",
        },
        callback_on=(at + timedelta(days=365)).date(),
        after_check=check,
        second_reader=cast.people["piers"],
        **said,
    )
    pair_pictures(
        report=draft,
        face=face,
        before=_pictured(ReportKind.BASELINE, proposal, face),
        after=_pictured(ReportKind.AFTER_TREATMENT, proposal, face),
        **said,
    )
    signed = sign_report(hand=cast.hand("marit"), at=at + timedelta(hours=2), report=draft)
    return second_read(hand=cast.hand("piers"), at=at + timedelta(hours=3), report=signed)


def treat_letter(cast: Cast, proposal: Proposal, at: datetime) -> None:
    """Iron-gall ink and a moist step, weighed beforehand; under the fold a slip came to light."""
    face = faces_of(_showing(proposal))[0]
    _log(
        cast,
        proposal,
        at,
        "test",
        face=face,
        area="A2",
        minutes=Decimal(1),
        hours=Decimal("0.5"),
        result="No colour on the strip, nothing on the blotter.",
        test=MediumTested(
            medium="iron-gall ink of the second line",
            liquid=SpotLiquid.WATER,
            outcome=SpotOutcome.NOTHING,
        ),
    )
    flattened = _log(
        cast,
        proposal,
        at + timedelta(minutes=60),
        "flatten",
        face=face,
        area="B3, blank margin",
        minutes=Decimal(10),
        hours=Decimal(1),
        result="The fold gave over 50 mm; the writing stayed dry under its mask.",
    )
    _find(
        cast,
        flattened,
        at + timedelta(minutes=85),
        face,
        "old-repair",
        what=(
            "Under the fold a slip of paper, 70 by 12 mm, pasted flat, with four figures in the "
            "same hand. It may be a reading of the rain gauge."
        ),
        zone="B3",
        component_label="pasted slip",
        component_description="Slip of paper with four figures, 70 by 12 mm",
        plan_change="The tissue has to end short of the slip; the split stays open for 12 mm.",
    )


def _find(
    cast: Cast,
    step: TreatmentStep,
    at: datetime,
    face: Face,
    term: str,
    **said: Any,
) -> None:
    picture = picture_of(cast, face, at, LightKind.RAKING, PicturePurpose.RECORD_DURING)
    record_finding(
        step=step,
        found=FoundInTreatment(
            face=face,
            term=word(Vocabulary.CONDITION_TERM, term),
            picture=picture,
            observed_at=at,
            **said,
        ),
        **cast.acting("marit", at + timedelta(minutes=10)),
    )


def call_back(cast: Cast, proposal: Proposal, today: date) -> None:
    """The maker wrote about a batch: what it touched is looked at again."""
    call_back_all(
        materials=[cast.stock["tissue"]],
        objects=[proposal.museum_object],
        due_on=today + timedelta(days=12),
        reason=(
            "Its maker wrote that fibres of this batch may be sized with alum: look for yellow "
            "edges round the hinges."
        ),
        **cast.acting("marit", cast.moment(today - timedelta(days=2), 9)),
    )


def cloth_is_tested(cast: Cast, today: date) -> None:
    """The Oddy test of the cloth for the cases counts for three weeks more."""
    ended = today - timedelta(days=5 * 365 - 20)
    record_result(
        material=cast.stock["cloth"],
        said=ResultSaid(
            how=HowTested.ODDY,
            rating=Rating.PERMANENT,
            tested_on=ended,
            valid_until=today + timedelta(days=21),
            tested_by="Objects Laboratory, Piers Hallam",
            copper="as its control",
            silver="as its control",
            lead="as its control, one small white spot at the edge",
            result="No corrosion on any of three coupons after 28 days at 60 °C.",
            sample_kept="Objects Laboratory, drawer 4",
        ),
        accepted_for=[MaterialUse.CASE, MaterialUse.MOUNT],
        **cast.acting("piers", cast.moment(ended + timedelta(days=1), 9)),
    )


def _showing(proposal: Proposal) -> Any:
    if proposal.showing is None:
        raise ValueError(f"{proposal} belongs to no showing.")
    return proposal.showing


def _pictured(kind: ReportKind, proposal: Proposal, face: Face) -> Picture:
    report = ConditionReport.objects.filter(showing=proposal.showing, kind=kind).latest("pk")
    picture = report.report_faces.select_related("picture").get(face=face).picture
    if picture is None:
        raise ValueError(f"{report} has no picture of {face}.")
    return picture
