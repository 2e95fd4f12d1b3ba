"""Duties that open ends make at any stage: holds, consents, ways, papers, reports, waivers."""

from collections.abc import Iterator
from datetime import UTC, timedelta

from lifecycle.process.days import day_words
from lifecycle.process.duties.duty import Duty
from lifecycle.process.duties.onward import make
from lifecycle.process.facts.showing import ShowingFacts
from lifecycle.process.stages import CLOSED, Role, Stage
from lifecycle.process.treatment_days import answer_due
from lifecycle.process.words import ReportKind
from lifecycle.process.working_days import working_days_after


def hold_to_settle(facts: ShowingFacts) -> Iterator[Duty]:
    for hold in facts.object.holds:
        yield make(
            facts,
            rule="hold",
            code="object.held",
            text=f"Decide on the hold of {facts.object.number}: {hold.reason}.",
            why=f"Held by {hold.placed_by} since {day_words(hold.placed_on)}; everything waits.",
            role=Role.CONSERVATOR,
            due_on=working_days_after(hold.placed_on, 2, facts.rules.days_off),
            hard=True,
            stopped=True,
            occurrence=hold.uid,
            subject_uid=hold.uid,
        )


def consent_asked(facts: ShowingFacts) -> Iterator[Duty]:
    for proposal in facts.proposals:
        for consent in proposal.consents if not proposal.report_signed else ():
            if consent.decided and consent.lapsed_on is None:
                continue
            asked = consent.asked_on or facts.today
            if consent.community:
                yield make(
                    facts,
                    rule="community",
                    code="consent.community",
                    text=(
                        f"Get the answer of {consent.community} on {proposal.label} for "
                        f"{facts.object.number}."
                    ),
                    why=(
                        f"Asked on {day_words(asked)}: the source community agrees before any "
                        "treatment. Print the proposal, and put on record what comes."
                    ),
                    role=consent.role,
                    due_on=answer_due(asked, facts.rules.days_off),
                    occurrence=f"{proposal.number}/{proposal.version}",
                    subject_uid=proposal.version_uid,
                    asked_on=consent.asked_on,
                )
                continue
            people = frozenset() if consent.person_id is None else frozenset({consent.person_id})
            yield make(
                facts,
                rule="consent",
                code="consent.asked",
                text=f"Decide on {proposal.label} for {facts.object.number}.",
                why=f"Consent was asked on {day_words(asked)}; treatment waits for it.",
                role=consent.role,
                due_on=answer_due(asked, facts.rules.days_off),
                people=people,
                about=f"{proposal.number} v{proposal.version} {consent.role.value}",
                occurrence=f"{proposal.number}/{proposal.version}/{consent.role.value}",
                subject_uid=proposal.version_uid,
                asked_on=consent.asked_on,
            )
            if consent.role is Role.LENDER:
                yield make(
                    facts,
                    rule="writing",
                    code="consent.writing",
                    text=f"Get the lender's writing on {proposal.label} for {facts.object.number}.",
                    why=(
                        f"Asked on {day_words(asked)}. Print the proposal for the lender, and read "
                        "back what comes."
                    ),
                    role=Role.REGISTRAR,
                    due_on=answer_due(asked, facts.rules.days_off),
                    occurrence=f"{proposal.number}/{proposal.version}",
                    subject_uid=proposal.version_uid,
                )


def deviation_asked(facts: ShowingFacts) -> Iterator[Duty]:
    """The clock stands still, so whoever has not agreed is asked at once."""
    for proposal in facts.proposals:
        known = {one.label: one for one in proposal.deviations}
        for label in proposal.open_deviations:
            one = known.get(label)
            for role in one.waits_for if one else (Role.CURATOR,):
                yield make(
                    facts,
                    rule="deviation",
                    code="deviation.asked",
                    text=(
                        f"Decide on the deviation in {proposal.number} for "
                        f"{facts.object.number}: {label}."
                    ),
                    why="It went beyond what was consented; the treatment stands still.",
                    role=role,
                    due_on=working_days_after(
                        one.since if one else facts.today, 2, facts.rules.days_off
                    ),
                    stopped=True,
                    about=label,
                    occurrence=f"{proposal.number}/{one.uid if one else label}/{role.value}",
                    subject_uid=one.uid if one else "",
                )
            if one is not None and (one.community or Role.LENDER in one.waits_for):
                yield make(
                    facts,
                    rule="deviation-answer",
                    code="deviation.answer",
                    text=(
                        f"Get the answer of {one.community or 'the lender'} on the deviation in "
                        f"{proposal.number} for {facts.object.number}: {label}."
                    ),
                    why="It went beyond what was consented; the treatment stands still.",
                    role=Role.REGISTRAR,
                    due_on=working_days_after(one.since, 2, facts.rules.days_off),
                    stopped=True,
                    about=label,
                    occurrence=f"{proposal.number}/{one.uid}",
                    subject_uid=one.uid,
                )


def asked_again(facts: ShowingFacts) -> Iterator[Duty]:
    """Whoever answers for what a finding put in doubt is asked, and nobody else."""
    for asked in facts.asked_again:
        people = frozenset() if asked.person_id is None else frozenset({asked.person_id})
        todo = "Make anew" if asked.made_anew else "Say whether it still fits"
        yield make(
            facts,
            rule="finding",
            code="finding.asked",
            text=f"{todo}: {asked.what} of {facts.object.number}.",
            why=f"{asked.feature} was found during treatment: {asked.because}.",
            role=asked.role,
            due_on=working_days_after(asked.asked_on, 3, facts.rules.days_off),
            people=people,
            about=f"{asked.feature} {asked.what}",
            occurrence=f"{asked.feature}/{asked.kind.value}/{asked.number}/{asked.person_id or ''}",
            subject_uid=asked.uid,
        )


def arrival_to_confirm(facts: ShowingFacts) -> Iterator[Duty]:
    for movement in facts.home.movements:
        waiting = movement.arrived_at is not None and not movement.confirmed
        since = movement.arrived_at or movement.left_at
        on_the_way = movement.left_at is not None and movement.arrived_at is None
        if since is None or not (waiting or on_the_way):
            continue
        if facts.moment - since > timedelta(hours=24):
            yield make(
                facts,
                rule="arrival",
                code="movement.arrival",
                text=f"Find {facts.object.number} and confirm where it is ({movement.number}).",
                why=f"It went to {movement.to_place} more than 24 hours ago.",
                role=Role.REGISTRAR,
                due_on=facts.today,
                hard=True,
                occurrence=movement.number,
                subject_uid=movement.uid,
            )


def paper_to_read_back(facts: ShowingFacts) -> Iterator[Duty]:
    for paper in facts.home.papers_out:
        people = frozenset() if paper.printed_by_id is None else frozenset({paper.printed_by_id})
        yield make(
            facts,
            rule="paper",
            code="paper.out",
            text=f"Read back or void {paper.number}, {paper.title}, of {facts.object.number}.",
            why="It is expected back by then.",
            role=Role.REGISTRAR,
            due_on=paper.expected_on,
            people=people,
            about=paper.number,
            occurrence=paper.number,
        )


def report_to_sign(facts: ShowingFacts) -> Iterator[Duty]:
    for report in facts.reports:
        if report.this_showing and not report.signed:
            yield make(
                facts,
                rule="report",
                code="report.unsigned",
                text=(
                    f"Sign {report.report_no} ({report.kind.label}) of {facts.object.number}, "
                    "or strike the draft."
                ),
                why=f"Begun on {day_words(report.examined_on)} and not signed.",
                role=Role.CONSERVATOR,
                due_on=working_days_after(report.examined_on, 3, facts.rules.days_off),
                about=report.report_no,
                occurrence=report.report_no,
                subject_uid=report.uid,
            )


def part_a_to_countersign(facts: ShowingFacts) -> Iterator[Duty]:
    """The same day; after an emergency part A itself follows within the hour."""
    down = facts.taken_down_at
    after_display = facts.stage in (Stage.DEINSTALL_CHECK, Stage.REHOUSING) or (
        facts.stage is Stage.TREATMENT and down is not None
    )
    if not after_display or "part_a" in facts.take_over.missing:
        return
    report = facts.report(ReportKind.DEINSTALL_AT_CASE)
    signed = report is not None and report.signed
    if (
        signed
        and report is not None
        and (report.signed_by_conservator or report.countersigned_by_conservator)
    ):
        return
    yield make(
        facts,
        rule="part-a",
        code="part_a.countersign" if signed else "part_a.missing",
        text=(
            f"Countersign part A of {facts.object.number}."
            if signed
            else f"Write part A of {facts.object.number}, as found, now."
        ),
        why="A conservator signs it on the day of taking down.",
        role=Role.CONSERVATOR,
        due_on=down.date() if down is not None else facts.today,
        hard=True,
        occurrence=down.astimezone(UTC).isoformat() if down is not None else "",
        subject_uid=report.uid if report is not None else "",
    )


def incident_to_close(facts: ShowingFacts) -> Iterator[Duty]:
    for incident in facts.home.open_incidents:
        yield make(
            facts,
            rule="incident",
            code="incident.open",
            text=f"Settle incident {incident.number} of {facts.object.number}.",
            why="It is open, and the showing can't be closed before it is.",
            role=Role.CONSERVATOR,
            due_on=facts.today,
            about=incident.number,
            occurrence=incident.number,
            subject_uid=incident.uid,
        )


def waiver_ending(facts: ShowingFacts) -> Iterator[Duty]:
    for waiver in facts.waivers:
        if waiver.until is None or (waiver.until - facts.today).days > 14:
            continue
        over = waiver.until < facts.today
        yield make(
            facts,
            rule="waiver",
            code=waiver.code,
            text=(
                f"The waiver for {facts.object.number} ({waiver.code}"
                f"{', ' + waiver.about if waiver.about else ''}) "
                f"{'has ended' if over else 'ends'}: deal with its cause."
            ),
            why=f"Given by {waiver.by}: {waiver.reason}",
            role=waiver.role,
            due_on=waiver.until,
            hard=True,
            about=waiver.about,
            occurrence=f"{waiver.code}/{waiver.about}/{waiver.until.isoformat()}",
        )


def loan_ending(facts: ShowingFacts) -> Iterator[Duty]:
    loan = facts.home.loan
    if loan is None or loan.ends_on is None or facts.stage in CLOSED:
        return
    if (loan.ends_on - facts.today).days <= 60:
        yield make(
            facts,
            rule="loan-end",
            code="loan.end",
            text=f"Bring {facts.object.number} back to {loan.lender} in time.",
            why=f"Loan {loan.number} ends then.",
            role=Role.REGISTRAR,
            due_on=loan.ends_on,
            hard=True,
            occurrence=loan.number,
        )
