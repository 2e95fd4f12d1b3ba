"""Treatment of demo objects: a proposal with its consent, and the first steps at the bench."""

from dataclasses import replace
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

from lifecycle.actions.demo.cast import Cast
from lifecycle.actions.demo.looking import word
from lifecycle.actions.demo.plans import EDGE, Plan
from lifecycle.actions.demo.preparing import faces_of
from lifecycle.actions.treatment.consenting import give_consent
from lifecycle.actions.treatment.logging import StepDone, log_step
from lifecycle.actions.treatment.materials import add_material
from lifecycle.actions.treatment.proposing import open_proposal
from lifecycle.actions.treatment.sending import send_version
from lifecycle.actions.treatment.sequences import UsualStep, write_sequence
from lifecycle.actions.treatment.weighing import CautionAnswer, raised_now
from lifecycle.actions.treatment.writing import (
    MaterialDraft,
    OptionDraft,
    StepDraft,
    VersionDraft,
    write_version,
)
from lifecycle.records.models import ConditionReport, Showing, Vocabulary
from lifecycle.records.models.treatment import (
    Decision,
    MaterialKind,
    MaterialTest,
    Proposal,
    Undo,
)


def propose(
    cast: Cast, showing: Showing, at: datetime, plan: Plan = EDGE, *, starts_in: int = 12
) -> Proposal:
    """Write the plan, with 'do nothing' and a reason for each caution it raises; send it."""
    proposal = open_proposal(showing=showing, **cast.acting("marit", at))
    version = proposal.versions.get(version=1)
    draft = draft_of(cast, showing, at, plan)
    draft = replace(draft, start_not_before=(at + timedelta(days=starts_in)).date())
    said = cast.acting("marit", at)
    version = write_version(version=version, edition=version.edition, draft=draft, **said)
    answers = tuple(
        CautionAnswer(trait=one.rule.trait, brings=one.rule.brings, why=plan.reasons[one.rule.key])
        for one in raised_now(version, at)
        if one.rule.key in plan.reasons
    )
    if answers:
        draft = replace(draft, cautions=answers)
        version = write_version(version=version, edition=version.edition, draft=draft, **said)
    send_version(hand=cast.hand("marit"), at=at + timedelta(hours=1), version=version)
    return proposal


def draft_of(cast: Cast, showing: Showing, at: datetime, plan: Plan) -> VersionDraft:
    """The draft of a plan for the first face of a showing, resting on its last signed report."""
    face = faces_of(showing)[0]
    signed = ConditionReport.objects.filter(showing=showing).exclude(digest="")
    report = signed.order_by("-pk").first()
    looked = report.report_faces.select_related("picture").filter(face=face) if report else ()
    return VersionDraft(
        based_on=report,
        aim=plan.aim,
        aim_text=plan.aim_text,
        state_text=plan.state,
        pictures=[row.picture for row in looked if row.picture is not None],
        why=plan.why,
        tests_first=plan.tests_first,
        removed_matter=plan.removed,
        removed_where=plan.removed_where,
        effect_on_display=plan.effect_on_display,
        stop_rules=plan.stop_rules,
        hours_est=plan.hours,
        finish_by=(at + timedelta(days=45)).date(),
        options=[
            OptionDraft(
                what="Do nothing.",
                undo=Undo.NOTHING_DONE,
                do_nothing=True,
                risk=plan.nothing_risks,
            ),
            OptionDraft(
                what=plan.option,
                undo=Undo.CAN_BE_UNDONE,
                gain=plan.gain,
                risk=plan.risk,
                hours=plan.hours,
                chosen=True,
            ),
        ],
        materials=[MaterialDraft(material=cast.stock[key]) for key in plan.materials],
        steps=[
            StepDraft(step=word(Vocabulary.TREATMENT_STEP, code), face=face) for code in plan.steps
        ],
    )


def consent(cast: Cast, proposal: Proposal, at: datetime, plan: Plan = EDGE) -> None:
    give_consent(
        hand=cast.hand("wen"),
        at=at,
        version=proposal.versions.get(version=1),
        decision=Decision.AGREE_WITHIN_LIMITS,
        limits=plan.limits,
    )


def first_step(cast: Cast, proposal: Proposal, at: datetime) -> None:
    showing = proposal.showing
    if showing is None:
        raise ValueError(f"{proposal} belongs to no showing.")
    log_step(
        museum_object=showing.museum_object,
        proposal=proposal,
        done=StepDone(
            step=word(Vocabulary.TREATMENT_STEP, "surface-clean"),
            observed_at=at - timedelta(minutes=30),
            result="Loose dust lifted with a soft brush along the lower edge; image not touched.",
            hours=Decimal("0.5"),
            face=faces_of(showing)[0],
            area="C1",
        ),
        **cast.acting("marit", at),
    )


def habits(cast: Cast, at: datetime) -> None:
    """What the demo's laboratory does again and again, written once."""
    write_sequence(
        name="Dry surface cleaning",
        used_for="Loose dust on a sound sheet; never on loose media.",
        lines=[
            UsualStep(
                step=word(Vocabulary.TREATMENT_STEP, "dust"),
                hours=Decimal("0.25"),
                minutes=Decimal(10),
                result="Loose dust brushed from the middle to the edges.",
            ),
            UsualStep(
                step=word(Vocabulary.TREATMENT_STEP, "surface-clean"),
                hours=Decimal("0.5"),
                minutes=Decimal(25),
                result="Cleaned with a soft sponge; nothing of the image on it.",
            ),
        ],
        **cast.acting("marit", at),
    )


def stock(cast: Cast, at: datetime) -> None:
    """Board, tissues, paste and cloth that the trips use, as ``materials.yaml`` lists them."""
    for key, row in cast.data.materials.items():
        told: dict[str, Any] = {
            name: row[name] for name in ("plain_words", "alkaline") if name in row
        }
        accepted: dict[str, Any] = {f"accepted_for_{use}": True for use in row.get("accepted", ())}
        cast.stock[key] = add_material(
            name=row["name"],
            kind=MaterialKind(row["kind"]),
            grade=row["grade"],
            batch=row["batch"],
            test_state=MaterialTest(row.get("test", MaterialTest.TO_TEST)),
            **told,
            **accepted,
            **cast.acting("marit", at),
        )
