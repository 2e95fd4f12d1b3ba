"""The words of signed proposals, consents and treatment reports."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Final

from lifecycle.queries.signed_text.kind import SignedKind
from lifecycle.queries.signed_text.lines import NOT_STATED, Lines, Wording, number_in_words
from lifecycle.records.models.people import Person
from lifecycle.records.models.treatment import (
    Aim,
    Consent,
    Decision,
    DeviationConsent,
    HowGiven,
    PlannedStep,
    ProposalMaterial,
    ProposalOption,
    ProposalVersion,
    RemovedMatter,
    TreatmentReport,
    TreatmentStep,
    Undo,
)

CONSENT: Final = "consent"
DEVIATION_CONSENT: Final = "deviation-consent"


def proposal_text(version: ProposalVersion, wording: Wording) -> str:
    """Return the words of one version of a proposal: what is asked to be agreed to."""
    proposal = version.proposal
    lines = Lines("Treatment proposal", number=proposal.proposal_no, version=version.version)
    lines.say("Object number", wording.of(proposal.museum_object, "object_number"))
    lines.say("Title", wording.of(proposal.museum_object, "title"))
    lines.yes_no("Aftercare, after display", proposal.aftercare)
    based_on = version.based_on
    lines.say("Based on condition report", wording.of(based_on, "report_no"))
    lines.quantity("Version of that report", based_on.version if based_on else None)
    if version.state_text:
        lines.prose("State", version.state_text)
    lines.say("Aim", Aim(version.aim).label if version.aim else NOT_STATED)
    lines.prose("Aim in words", version.aim_text)
    _options(lines, version)
    lines.prose("Why the chosen option", version.why)
    _planned(lines, version, wording)
    lines.prose("Tests first", version.tests_first)
    lines.say("Removed matter", RemovedMatter(version.removed_matter).label)
    lines.prose("Where removed matter is kept", version.removed_where)
    lines.prose("Effect on display", version.effect_on_display)
    lines.prose("What would make me stop and ask again", version.stop_rules)
    lines.quantity("Estimated work", version.hours_est, "hours")
    lines.day("Not to start before", version.start_not_before)
    lines.day("To be finished by", version.finish_by)
    lines.yes_no("Can be undone", version.reversible)
    _weighed(lines, version)
    return lines.text()


def _weighed(lines: Lines, version: ProposalVersion) -> None:
    """Cautions and pictures; versions of before that had neither keep their words."""
    cautions = list(version.cautions.filter(left_out=False).order_by("pk"))
    if cautions:
        lines.heading("Cautions weighed")
    for caution in cautions:
        lines.prose("Caution", caution.warning)
        lines.prose("Proposed all the same, because", caution.why)
    pictures = list(
        version.pictures.filter(left_out=False).select_related("picture").order_by("pk")
    )
    if pictures:
        lines.heading("Pictures")
    for shown in pictures:
        lines.say("Picture SHA-256", shown.picture.sha256)


def _options(lines: Lines, version: ProposalVersion) -> None:
    lines.heading("Options")
    rows = ProposalOption.objects.filter(version=version, left_out=False).order_by("order", "pk")
    for option in rows:
        name = f"Option {option.order}{', chosen' if option.chosen else ''}"
        lines.prose(name, option.what)
        lines.prose("Gain", option.gain)
        lines.prose("Risk", option.risk)
        lines.say("Can it be undone", Undo(option.undo).label)
        lines.quantity("Work", option.hours, "hours")
        lines.say("Cost", option.cost)


def _planned(lines: Lines, version: ProposalVersion, wording: Wording) -> None:
    lines.heading("Planned steps")
    steps = PlannedStep.objects.filter(version=version, left_out=False)
    for step in steps.select_related("step", "face").order_by("order", "pk"):
        lines.say("Step", wording.of(step.step, "label"))
        lines.say("On face", wording.of(step.face, "label"))
        lines.say("Area", step.area)
        lines.prose("Limits", step.limits)
    lines.heading("Planned materials")
    rows = ProposalMaterial.objects.filter(version=version, left_out=False)
    for row in rows.select_related("material").order_by("pk"):
        lines.say("Material", wording.of(row.material, "name"))
        lines.say("Grade", wording.of(row.material, "grade"))
        lines.say("Batch", wording.of(row.material, "batch"))
        lines.quantity("Strength", row.concentration, "percent")
        lines.say("In", row.solvent)


@dataclass(frozen=True, slots=True, kw_only=True)
class CommunityWord:
    """An answer that a member of staff puts on record for a source community."""

    community: str
    speaker: str
    how: HowGiven
    given_at: datetime


def community_word(row: Consent | DeviationConsent) -> CommunityWord | None:
    """What a row says of a community's answer; nothing for everybody else's."""
    if not row.community:
        return None
    return CommunityWord(
        community=row.community,
        speaker=row.speaker,
        how=HowGiven(row.how),
        given_at=row.decided_at,
    )


def consent_text(
    *,
    title: str,
    about: str,
    digest: str,
    person: Person,
    role_label: str,
    decision: Decision,
    limits: str,
    excluded: tuple[str, ...],
    valid_until: date | None,
    for_person: Person | None,
    told: CommunityWord | None = None,
) -> str:
    """Return the words one person signs when they decide on a version or on a deviation."""
    lines = Lines(title)
    lines.say("About", about)
    lines.say("Digest of what was read", digest)
    lines.say("Decision", decision.label)
    lines.prose("Limits, or what should change", limits)
    for words in excluded:
        lines.say("Not covered", words)
    lines.day("Counts until", valid_until)
    if told is not None:
        lines.say("Decided by", told.speaker.strip())
        lines.say("For the source community", told.community)
        lines.moment("Answer given", told.given_at)
        lines.say("How it was given", told.how.label)
        lines.say("Put on record by", person.full_name)
    else:
        lines.say("Decided by", person.full_name)
    lines.say("In the role of", role_label)
    lines.say("As deputy for", for_person.full_name if for_person else "")
    return lines.text()


def report_text(report: TreatmentReport, wording: Wording) -> str:
    """Return the words of a treatment report with its steps, materials and pictures."""
    proposal = report.proposal
    lines = Lines("Treatment report", number=proposal.proposal_no, version=report.version)
    if report.corrects is not None:
        lines.quantity("Corrects version", report.corrects.version)
        lines.prose("What it corrects and why", report.correction_why)
    lines.say("Object number", wording.of(proposal.museum_object, "object_number"))
    lines.say("Title", wording.of(proposal.museum_object, "title"))
    lines.say("Treated and reported by", wording.of(report.author, "full_name"))
    lines.prose("What was done", report.summary)
    lines.prose("What was left undone, and why", report.not_done)
    lines.prose("Remaining risks", report.remaining_risks)
    lines.prose("New limits for handling and display", report.new_limits)
    # These came later: a report signed before they were there keeps its words.
    for name, text in (
        ("Advice for the housing", report.housing_advice),
        ("How what was put on can be taken off again", report.take_off),
        ("Faces that could not be pictured, and why", report.not_pictured),
    ):
        if text:
            lines.prose(name, text)
    lines.day("Look again on", report.callback_on)
    lines.prose("Where removed matter is kept", report.removed_kept_where)
    lines.say("After-treatment check", wording.of(report.after_check, "report_no"))
    lines.yes_no("A second reader is asked for", report.second_reader_asked)
    lines.say("Second reader", wording.of(report.second_reader, "full_name"))
    _steps(lines, report, wording)
    lines.heading("Pictures before and after")
    pairs = report.pairs.select_related("face", "before", "after")
    for pair in pairs.order_by("pk"):
        lines.say("Face", wording.of(pair.face, "label"))
        lines.say("Before SHA-256", pair.before.sha256)
        lines.say("After SHA-256", pair.after.sha256)
    return lines.text()


def _steps(lines: Lines, report: TreatmentReport, wording: Wording) -> None:
    lines.heading("Steps")
    steps = TreatmentStep.objects.filter(proposal=report.proposal)
    if report.signed_at is not None:
        # Steps entered after the signature do not belong to what was signed.
        steps = steps.filter(entered_at__lte=report.signed_at)
    rows = steps.select_related(
        "step", "material", "face", "feature", "observed_by", "version", "corrects"
    ).prefetch_related("cautions")
    in_order = list(rows.order_by("observed_at", "pk"))
    again = {step.corrects_id: step for step in in_order if step.corrects_id is not None}
    for step in in_order:
        lines.moment("Done", step.observed_at)
        if step.pk in again:
            lines.moment(
                "Written wrongly; put right by the line entered", again[step.pk].entered_at
            )
        if step.corrects is not None:
            lines.moment("Puts right the line entered", step.corrects.entered_at)
        lines.say("Step", wording.of(step.step, "label"))
        lines.say("By", wording.of(step.observed_by, "full_name"))
        if step.emergency:
            lines.prose("Emergency, because", step.emergency_reason)
        else:
            lines.quantity("Under version", step.version.version if step.version else None)
        if step.material is not None:
            lines.say("With", wording.of(step.material, "name"))
            lines.say("Grade", wording.of(step.material, "grade"))
            lines.say("Batch", wording.of(step.material, "batch"))
        lines.quantity("Strength", step.concentration, "percent")
        lines.say("Amount", step.amount)
        lines.quantity("Time", step.minutes, "minutes")
        lines.quantity("Temperature", step.temperature_c, "degrees Celsius")
        lines.say("Face", wording.of(step.face, "label"))
        lines.say("Area", step.area)
        feature = f"F{number_in_words(step.feature.number)}" if step.feature else ""
        lines.say("Feature", feature)
        lines.prose("Result", step.result)
        if step.deviation:
            lines.prose("Deviation, because", step.deviation_why)
        for caution in sorted(step.cautions.all(), key=lambda row: row.pk):
            lines.prose("Caution", caution.warning)
            lines.prose("Gone on all the same, because", caution.why)
        lines.quantity("Work", step.hours, "hours")
        lines.prose("Removed", step.removed)
        lines.prose("Kept", step.removed_where)


KINDS: Final[tuple[SignedKind, ...]] = (
    SignedKind(
        name="proposal",
        label="treatment proposal",
        model=ProposalVersion,
        text=proposal_text,
        number=lambda version: str(version.proposal.proposal_no),
    ),
    SignedKind(
        name="treatment-report",
        label="treatment report",
        model=TreatmentReport,
        text=report_text,
        number=lambda report: str(report.proposal.proposal_no),
    ),
)
