"""Treatment of demo objects: a proposal with its consent, and the first steps at the bench."""

from datetime import datetime, timedelta
from decimal import Decimal

from lifecycle.actions.demo.cast import Cast
from lifecycle.actions.demo.looking import word
from lifecycle.actions.demo.preparing import faces_of
from lifecycle.actions.treatment.consenting import give_consent
from lifecycle.actions.treatment.logging import StepDone, log_step
from lifecycle.actions.treatment.materials import add_material
from lifecycle.actions.treatment.proposing import open_proposal
from lifecycle.actions.treatment.sending import send_version
from lifecycle.actions.treatment.sequences import UsualStep, write_sequence
from lifecycle.actions.treatment.writing import (
    MaterialDraft,
    OptionDraft,
    StepDraft,
    VersionDraft,
    write_version,
)
from lifecycle.records.models import ConditionReport, Showing, Vocabulary
from lifecycle.records.models.treatment import (
    Aim,
    Decision,
    MaterialKind,
    MaterialTest,
    Proposal,
    Undo,
)


def propose(cast: Cast, showing: Showing, at: datetime) -> Proposal:
    """Mend the edge and lift the dust: options with 'do nothing', materials, stop rules; sent."""
    proposal = open_proposal(showing=showing, **cast.acting("marit", at))
    version = proposal.versions.get(version=1)
    if cast.tissue is None:
        raise ValueError("The demo's tissue is not in stock.")
    face = faces_of(showing)[0]
    version = write_version(
        version=version,
        edition=version.edition,
        draft=VersionDraft(
            based_on=ConditionReport.objects.filter(showing=showing)
            .exclude(digest="")
            .order_by("-pk")
            .first(),
            aim=Aim.STABILISE,
            aim_text="Keep the edge from catching when the sheet is mounted and carried.",
            why="The tear is short and dry mending with tissue can be taken off again.",
            tests_first="Water drop test of the image at the edge, under the mount's line.",
            effect_on_display="The sheet can be hinged at two points; no change of light.",
            stop_rules="The image reacts to moisture, or the tear runs on.",
            hours_est=Decimal(3),
            start_not_before=(at + timedelta(days=12)).date(),
            finish_by=(at + timedelta(days=45)).date(),
            reversible=True,
            options=[
                OptionDraft(
                    what="Do nothing.",
                    undo=Undo.NOTHING_DONE,
                    do_nothing=True,
                    risk="The tear may run on when it is hinged.",
                ),
                OptionDraft(
                    what="Mend with tissue and a low-moisture adhesive.",
                    undo=Undo.CAN_BE_UNDONE,
                    gain="The edge holds.",
                    risk="A faint edge of tissue in raking light.",
                    hours=Decimal(3),
                    chosen=True,
                ),
            ],
            materials=[MaterialDraft(material=cast.tissue)],
            steps=[
                StepDraft(step=word(Vocabulary.TREATMENT_STEP, "surface-clean"), face=face),
                StepDraft(step=word(Vocabulary.TREATMENT_STEP, "mend"), face=face),
            ],
        ),
        **cast.acting("marit", at),
    )
    send_version(hand=cast.hand("marit"), at=at + timedelta(hours=1), version=version)
    return proposal


def consent(cast: Cast, proposal: Proposal, at: datetime) -> None:
    give_consent(
        hand=cast.hand("wen"),
        at=at,
        version=proposal.versions.get(version=1),
        decision=Decision.AGREE_WITHIN_LIMITS,
        limits="No moisture on the image itself.",
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
    """The mount board and the mending tissue that the trips use."""
    cast.board = add_material(
        name="Cotton board",
        kind=MaterialKind.BOARD,
        grade="1.5 mm, unbuffered",
        batch="B-1147",
        accepted_for_contact=True,
        accepted_for_case=True,
        accepted_for_mount=True,
        test_state=MaterialTest.ACCEPTED_LIST,
        alkaline=False,
        **cast.acting("marit", at),
    )
    cast.tissue = add_material(
        name="Mulberry tissue",
        kind=MaterialKind.TISSUE,
        grade="9 g",
        batch="T-0306",
        accepted_for_contact=True,
        test_state=MaterialTest.ACCEPTED_LIST,
        **cast.acting("marit", at),
    )
