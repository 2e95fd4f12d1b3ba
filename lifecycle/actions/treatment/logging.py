"""Log a step at the bench: covered by a consented version or a standing consent, or an emergency.

Nothing else is written down as treatment. What was done is told with the hour it was done; the
consents are asked as they stood at that hour.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.actions.treatment.correcting import faults_of_correction, same_treatment
from lifecycle.actions.treatment.telling import tell_of_emergency
from lifecycle.process.bench_cautions import TEST_STEP, Raised, asks_of
from lifecycle.process.minutes import end_of
from lifecycle.process.rights import Deed
from lifecycle.process.stages import CLOSED, Role, Stage
from lifecycle.queries.rights import about_object, about_showing
from lifecycle.queries.treatment import standing as standing_rules
from lifecycle.queries.treatment.cautions import at_bench, is_wet, raised_by_step, reasons_of
from lifecycle.queries.treatment.consenting import Clock, clock_at
from lifecycle.queries.treatment.covering import StepAsked, beyond_strength, in_force, why_not
from lifecycle.queries.treatment.reading import whole_proposals
from lifecycle.records.models.condition import Feature
from lifecycle.records.models.objects import Face, MuseumObject
from lifecycle.records.models.people import Person
from lifecycle.records.models.pictures import Picture
from lifecycle.records.models.showings import Showing
from lifecycle.records.models.treatment import (
    Material,
    MediumTest,
    Proposal,
    ProposalVersion,
    SpotLiquid,
    SpotOutcome,
    StandingConsent,
    StepCaution,
    StepPicture,
    TreatmentStep,
)
from lifecycle.records.models.words import Vocabulary, Word


@dataclass(frozen=True, slots=True, kw_only=True)
class MediumTested:
    """What a spot test showed of one medium."""

    medium: str
    liquid: SpotLiquid
    outcome: SpotOutcome


@dataclass(frozen=True, slots=True, kw_only=True)
class StepDone:
    """What was done. Strength in percent, time in minutes and hours, temperature in °C."""

    step: Word
    observed_at: datetime
    result: str
    hours: Decimal
    observed_by: Person | None = None
    material: Material | None = None
    concentration: Decimal | None = None
    amount: str = ""
    minutes: Decimal | None = None
    temperature_c: Decimal | None = None
    face: Face | None = None
    area: str = ""
    feature: Feature | None = None
    deviation: bool = False
    deviation_why: str = ""
    removed: str = ""
    removed_where: str = ""
    emergency: bool = False
    emergency_reason: str = ""
    caution_reason: str = ""
    test: MediumTested | None = None
    pictures: Sequence[Picture] = ()
    corrects: TreatmentStep | None = None


@transaction.atomic
def log_step(
    *,
    by: Person,
    role: Role,
    at: datetime,
    museum_object: MuseumObject,
    done: StepDone,
    proposal: Proposal | None = None,
    showing: Showing | None = None,
) -> TreatmentStep:
    """Log a step. With a proposal its versions are asked, without one the standing consents.

    A step that ``corrects`` another stands for it from now on, also after the report and the
    showing are closed; the other stays readable.

    :raises Refused: with every reason why the step is not covered or can't be true
    """
    held = (
        MuseumObject.objects.select_for_update(of=("self",))
        .select_related("object_type", "lender")
        .get(pk=museum_object.pk)
    )
    if proposal is not None:
        Proposal.objects.select_for_update().get(pk=proposal.pk)
        proposal = whole_proposals(Proposal.objects.filter(pk=proposal.pk)).get()
        showing = proposal.showing
    about = about_object(held) if showing is None else about_showing(showing)
    allow(by=by, role=role, deed=Deed.TREAT, at=at, about=about)
    clock = _clock_of(done.observed_at, at)
    reasons = list(_faults(held, proposal, showing, done, at))
    wrong = done.corrects
    reasons += faults_of_correction(wrong, done, proposal)
    version: ProposalVersion | None = None
    standing: StandingConsent | None = None
    if wrong is not None and same_treatment(wrong, done):
        version, standing = wrong.version, wrong.standing
    elif not done.emergency:
        if proposal is not None:
            version, not_covered = _version_for(proposal, done, clock)
        else:
            standing, not_covered = _standing_for(held, done, clock)
        reasons += not_covered
    found = raised_by_step(
        at_bench(held),
        step=done.step,
        day=clock.today,
        material=done.material,
        temperature_c=done.temperature_c,
        face=done.face,
    )
    answered = reasons_of(version)
    reasons += _unanswered(found, answered, done)
    if reasons:
        raise Refused(reasons)
    step = TreatmentStep(
        museum_object=held,
        showing=showing,
        proposal=proposal,
        version=version,
        standing=standing,
        observed_at=done.observed_at,
        observed_by=done.observed_by or by,
        entered_at=at,
        entered_by=by,
        step=done.step,
        material=done.material,
        concentration=done.concentration,
        amount=done.amount.strip(),
        minutes=done.minutes,
        temperature_c=done.temperature_c,
        face=done.face,
        area=done.area.strip(),
        feature=done.feature,
        result=done.result.strip(),
        deviation=done.deviation,
        deviation_why=done.deviation_why.strip(),
        hours=done.hours,
        removed=done.removed.strip(),
        removed_where=done.removed_where.strip(),
        emergency=done.emergency,
        emergency_reason=done.emergency_reason.strip(),
        caution_reason=done.caution_reason.strip(),
        corrects=done.corrects,
    ).append()
    for picture in _pictures_of(done):
        StepPicture(step=step, picture=picture).append()
    _keep_cautions(step, found, answered)
    if done.test is not None:
        MediumTest(
            step=step,
            medium=done.test.medium.strip(),
            liquid=done.test.liquid,
            outcome=done.test.outcome,
        ).append()
    if step.emergency and not (wrong is not None and wrong.emergency):
        tell_of_emergency(step=step, at=at)
    return step


def _pictures_of(done: StepDone) -> Iterator[Picture]:
    """The pictures of a step; a correction keeps those of the line it stands for."""
    if done.corrects is not None:
        for row in done.corrects.pictures.select_related("picture").order_by("pk"):
            yield row.picture
    yield from done.pictures


def _clock_of(observed_at: datetime, at: datetime) -> Clock:
    """The consents are asked as they stood when the step was done, never later than now."""
    return clock_at(end_of(observed_at, at))


def _version_for(
    proposal: Proposal, done: StepDone, clock: Clock
) -> tuple[ProposalVersion | None, list[Reason]]:
    asked = StepAsked(
        step=done.step,
        at=clock.moment,
        material=done.material,
        concentration=done.concentration,
        face=done.face,
        corrects=done.corrects is not None,
    )
    reasons = [Reason(line.text, line.field, line.code) for line in why_not(proposal, asked, clock)]
    version = in_force(list(proposal.versions.all()), clock)
    if reasons or version is None or done.deviation:
        return version, reasons
    if beyond_strength(version, asked):
        text = (
            f"{done.concentration} % is stronger than v{version.version} of "
            f"{proposal.proposal_no} says: tick ‘deviation’ and say why; the clock then stops "
            "until it is consented."
        )
        reasons.append(Reason(text, "concentration", "deviation.strength"))
    return version, reasons


def _standing_for(
    held: MuseumObject, done: StepDone, clock: Clock
) -> tuple[StandingConsent | None, list[Reason]]:
    reasons = [
        Reason(text, "step", "standing.none")
        for text in standing_rules.why_not(held, done.step, clock)
    ]
    if is_wet(done.step, done.material):
        text = (
            "A standing consent never covers a step that brings moisture or solvent: propose it "
            "and have it consented."
        )
        reasons.append(Reason(text, "step", "standing.wet"))
    return standing_rules.covering(held, done.step, clock), reasons


def _unanswered(
    found: Sequence[Raised], answered: Mapping[tuple[str, str], str], done: StepDone
) -> Iterator[Reason]:
    """A caution that asks wants a written reason: in the consented version, or at the bench.

    An emergency has its reason written already; what it went on in spite of is kept with it.
    """
    if done.caution_reason.strip() or done.emergency:
        return
    for one in asks_of(found):
        if one.rule.key not in answered:
            text = f"{one.sentence} If you go on, say why."
            code = f"caution.{one.rule.trait.value}.{one.rule.brings.value}"
            yield Reason(text, "caution_reason", code)


def _keep_cautions(
    step: TreatmentStep, found: Sequence[Raised], answered: Mapping[tuple[str, str], str]
) -> None:
    here = step.caution_reason or step.emergency_reason
    for one in found:
        StepCaution(
            step=step,
            trait=one.rule.trait,
            brings=one.rule.brings,
            warning=one.sentence,
            why=here or answered.get(one.rule.key, ""),
        ).append()


def _faults(
    held: MuseumObject,
    proposal: Proposal | None,
    showing: Showing | None,
    done: StepDone,
    at: datetime,
) -> Iterator[Reason]:
    number = held.object_number
    if done.observed_at > at:
        yield Reason("The step can't have been done in the future.", "observed_at")
    if done.step.vocabulary != Vocabulary.TREATMENT_STEP:
        yield Reason(f"{done.step.label} is not a treatment step.", "step")
    if not done.result.strip():
        yield Reason("Say what came of it.", "result")
    if not 0 < done.hours <= 24:
        yield Reason("Hours of one step lie between 0 and 24.", "hours")
    if done.minutes is not None and done.minutes < 0:
        yield Reason("Minutes can't be below nothing.", "minutes")
    if done.concentration is not None and not 0 < done.concentration <= 100:
        yield Reason("Strength is a percentage between 0 and 100.", "concentration")
    if done.concentration is not None and done.material is None:
        yield Reason("Name the material that this strength belongs to.", "material")
    if done.temperature_c is not None and not -80 <= done.temperature_c <= 200:
        yield Reason("Temperature lies between -80 and 200 °C.", "temperature_c")
    for name, row in (("face", done.face), ("feature", done.feature), ("", done.corrects)):
        if row is not None and row.museum_object_id != held.pk:
            yield Reason(f"{row} does not belong to {number}.", name)
    if done.removed.strip() and not done.removed_where.strip():
        yield Reason("Say where the removed matter is kept.", "removed_where")
    if done.deviation and not done.deviation_why.strip():
        yield Reason("Say what was done otherwise than consented, and why.", "deviation_why")
    if done.deviation and (done.emergency or proposal is None):
        text = "A deviation departs from a consented version: take the tick out."
        yield Reason(text, "deviation")
    if done.test is not None and done.step.code != TEST_STEP:
        yield Reason("What a medium did belongs to the step ‘test’.", "medium")
    if done.test is not None and not done.test.medium.strip():
        yield Reason("Say which ink, colour or dye was tested.", "medium")
    if done.emergency and not done.emergency_reason.strip():
        yield Reason("Say why it could not wait for consent.", "emergency_reason")
    if proposal is not None:
        yield from _faults_of_proposal(held, proposal, done)
    if showing is not None and Stage(showing.stage) in CLOSED and done.corrects is None:
        yield Reason(f"The showing of {number} is closed: log the step with its next one.")


def _faults_of_proposal(held: MuseumObject, proposal: Proposal, done: StepDone) -> Iterator[Reason]:
    if proposal.museum_object_id != held.pk:
        yield Reason(f"{proposal.proposal_no} is about another object.")
    if proposal.dropped_at is not None:
        yield Reason(f"{proposal.proposal_no} was dropped: open a new proposal.")
    signed = [report for report in proposal.reports.all() if report.signed]
    if signed and done.corrects is None:
        text = f"The report on {proposal.proposal_no} is signed: open a new proposal."
        yield Reason(text, code="report.signed")
    showing = proposal.showing if done.corrects is None else None
    if showing is not None and not done.emergency and Stage(showing.stage) is not Stage.TREATMENT:
        clock_words = Stage(showing.stage).label
        text = (
            f"{held.object_number} stands at {clock_words}: begin treatment first, on the page of "
            "its showing. It needs the consent to be there."
        )
        yield Reason(text, code="treatment.not_begun")
