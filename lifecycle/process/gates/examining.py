"""Gates of examination and treatment: the owner's chain that nobody can switch off."""

from collections.abc import Iterator

from lifecycle.process.days import day_words
from lifecycle.process.facts.showing import ShowingFacts
from lifecycle.process.facts.treatment import ProposalFacts
from lifecycle.process.gates.blocker import Blocker
from lifecycle.process.minutes import before
from lifecycle.process.stages import Role
from lifecycle.process.words import Answer, FitForDisplay, ReportKind

BASELINES = frozenset(
    {
        ReportKind.BASELINE,
        ReportKind.INCOMING,
        ReportKind.AFTER_TREATMENT,
        ReportKind.DEINSTALL_AT_BENCH,
        ReportKind.RETURN,
    }
)
MAY_BE_SHOWN = frozenset({FitForDisplay.YES, FitForDisplay.YES_WITH_CONDITIONS})


def object_is_not_held(facts: ShowingFacts) -> Iterator[Blocker]:
    for hold in facts.object.holds:
        text = (
            f"{facts.object.number} is held since {day_words(hold.placed_on)} ({hold.reason}; "
            f"{hold.placed_by}): lift the hold with a written decision."
        )
        yield Blocker("object.held", text, Role.CONSERVATOR, hold.uid)


def no_hold_forbids_treatment(facts: ShowingFacts) -> Iterator[Blocker]:
    """A hold whose decision asks for treatment lets treatment begin, and nothing else."""
    for hold in facts.object.holds:
        if not hold.asks_treatment:
            text = (
                f"{facts.object.number} is held since {day_words(hold.placed_on)} ({hold.reason}; "
                f"{hold.placed_by}): lift the hold, or decide in writing that it asks for "
                "treatment."
            )
            yield Blocker("object.held", text, Role.CONSERVATOR, hold.uid)


def baseline_is_signed(facts: ShowingFacts) -> Iterator[Blocker]:
    """Each face of the plan stands in a signed report that this showing may rest on.

    Part B of the showing before serves when the object was passed on within the days of the rules.
    """
    for face in facts.faces:
        covered = any(
            report.signed
            and report.kind in BASELINES
            and face.face_id in report.faces
            and (report.this_showing or _passed_on_lately(facts, report.examined_on.toordinal()))
            for report in facts.reports
        )
        if not covered:
            text = (
                f"No signed baseline report covers {facts.object.number}, {face.label}: "
                "examine it and sign the report."
            )
            yield Blocker("baseline.report", text, Role.CONSERVATOR, face.label)


def _passed_on_lately(facts: ShowingFacts, examined: int) -> bool:
    arrived = [m for m in facts.journal if m.move == "pass_on"]
    return bool(arrived) and (
        arrived[-1].at.date().toordinal() - examined < facts.rules.part_b_days
    )


def object_is_fit_for_display(facts: ShowingFacts) -> Iterator[Blocker]:
    assessment = facts.assessment
    if assessment is None or not assessment.signed:
        text = (
            f"It is not decided whether {facts.object.number} is fit for display: "
            "sign the display assessment."
        )
        yield Blocker("assessment.missing", text, Role.CONSERVATOR)
    elif assessment.fit not in MAY_BE_SHOWN:
        text = (
            f"The assessment of {facts.object.number} says “{assessment.fit.label}”: "
            "treat it, assess it again, or decline the request."
        )
        yield Blocker("assessment.not_fit", text, Role.CONSERVATOR)


def asks_treatment(facts: ShowingFacts) -> bool:
    """Whether the object may be shown only after treatment.

    The signed assessment says so; until there is one, the answer to the request.
    """
    said = facts.assessment
    if said is not None and said.signed:
        return said.fit is FitForDisplay.AFTER_TREATMENT
    return facts.answer is not None and facts.answer.answer is Answer.AFTER_TREATMENT


def current_proposals(facts: ShowingFacts, *, aftercare: bool) -> list[ProposalFacts]:
    """Return the proposals of this leg of the trip that were sent for consent."""
    return [p for p in facts.proposals if p.aftercare is aftercare and p.sent]


def _consented(facts: ShowingFacts, *, aftercare: bool) -> Iterator[Blocker]:
    proposals = [p for p in current_proposals(facts, aftercare=aftercare) if not p.report_signed]
    if not proposals:
        word = "aftercare" if aftercare else "treatment"
        text = (
            f"There is no {word} proposal for {facts.object.number} that was sent for consent: "
            "write one."
        )
        yield Blocker("proposal.missing", text, Role.CONSERVATOR)
    for proposal in proposals:
        if not proposal.consents:
            text = f"It is not named who must consent to {proposal.label}: send it for consent."
            yield Blocker("proposal.missing", text, Role.CONSERVATOR, proposal.number)
        for consent in proposal.consents:
            if consent.agreed:
                continue
            who = consent.who
            about = f"{proposal.number} v{proposal.version} {consent.key}"
            if consent.lapsed_on is not None:
                text = (
                    f"The consent of {who} to {proposal.label} lapsed on "
                    f"{day_words(consent.lapsed_on)}: ask again."
                )
            elif consent.decided:
                text = (
                    f"{who[:1].upper()}{who[1:]} answered “{consent.answer}” to "
                    f"{proposal.label}: change the proposal and ask again."
                )
            else:
                text = (
                    f"No consent for v{proposal.version} of {proposal.number} from {who}: "
                    "wait for the answer or remind them."
                )
            yield Blocker("consent.missing", text, consent.role, about)


def treatment_is_consented(facts: ShowingFacts) -> Iterator[Blocker]:
    yield from _consented(facts, aftercare=False)


def aftercare_is_consented(facts: ShowingFacts) -> Iterator[Blocker]:
    yield from _consented(facts, aftercare=True)


def no_consent_is_open(facts: ShowingFacts) -> Iterator[Blocker]:
    """An unanswered consent may not stay behind when the file is closed."""
    for proposal in facts.proposals:
        if not proposal.sent or proposal.report_signed:
            continue
        for consent in proposal.consents:
            if not consent.decided:
                about = f"{proposal.number} v{proposal.version} {consent.key}"
                text = f"{proposal.label} waits for {consent.who} to answer: answer or drop it."
                yield Blocker("consent.unanswered", text, consent.role, about)


def treatment_report_is_signed(facts: ShowingFacts) -> Iterator[Blocker]:
    proposals = current_proposals(facts, aftercare=facts.aftercare)
    if not proposals:
        text = f"No treatment report is signed for {facts.object.number}: write and sign it."
        yield Blocker("treatment.report", text, Role.CONSERVATOR)
    for proposal in proposals:
        if not proposal.report_signed:
            text = (
                f"The treatment report for {proposal.number} of {facts.object.number} "
                "is not signed: write and sign it."
            )
            yield Blocker("treatment.report", text, Role.CONSERVATOR, proposal.number)


def checked_after_treatment(facts: ShowingFacts) -> Iterator[Blocker]:
    begun = [m.at for m in facts.journal if m.move in ("begin_treatment", "aftercare")]
    since = begun[-1] if begun else None
    done = any(
        report.signed
        and report.kind is ReportKind.AFTER_TREATMENT
        and report.this_showing
        and (since is None or not before(report.examined_at, since))
        for report in facts.reports
    )
    if not done:
        text = (
            f"{facts.object.number} was not checked after its treatment: make and sign that check."
        )
        yield Blocker("treatment.check", text, Role.CONSERVATOR)


def treated_faces_are_pictured(facts: ShowingFacts) -> Iterator[Blocker]:
    for proposal in current_proposals(facts, aftercare=facts.aftercare):
        for face in proposal.faces:
            if not face.before or not face.before & face.after:
                text = (
                    f"{facts.object.number}, {face.label}: there is no picture before and after "
                    "treatment in the same light. Add both."
                )
                yield Blocker("treatment.images", text, Role.CONSERVATOR, face.label)


def deviations_are_consented(facts: ShowingFacts) -> Iterator[Blocker]:
    for proposal in current_proposals(facts, aftercare=facts.aftercare):
        for step in proposal.open_deviations:
            text = (
                f"Step {step} of {proposal.number} went beyond what was consented: "
                "get consent for it."
            )
            yield Blocker("treatment.deviation", text, Role.CURATOR, step)
