"""Gates of leaving: taking down, the comparison after display, and the way home."""

from collections.abc import Iterator

from lifecycle.process.facts.showing import ShowingFacts
from lifecycle.process.gates.blocker import Blocker
from lifecycle.process.minutes import before
from lifecycle.process.stages import Role
from lifecycle.process.words import FeatureState, ReportKind

ASKS_AN_ANSWER = frozenset(
    {FeatureState.FIRST_RECORD, FeatureState.WORSE, FeatureState.LESS, FeatureState.GONE}
)


def companions_come_down_too(facts: ShowingFacts) -> Iterator[Blocker]:
    for companion in facts.object.companions:
        if companion.placed and not companion.taken_down:
            text = (
                f"{companion.object_number} lies with {facts.object.number}: "
                "name it in the take-down, as taken out or staying."
            )
            yield Blocker("companion.named", text, Role.CONSERVATOR, companion.object_number)


def found_state_is_recorded(facts: ShowingFacts) -> Iterator[Blocker]:
    """Part A, before anything is moved; in an emergency it may follow within the hour."""
    take_down = facts.display.take_down
    if take_down is not None and take_down.emergency:
        return
    report = facts.report(ReportKind.DEINSTALL_AT_CASE)
    if report is None or not report.signed:
        text = (
            f"Part A of {facts.object.number}, as found at the case, is not signed: "
            "write it before anything is moved."
        )
        yield Blocker("part_a.missing", text, Role.CONSERVATOR)


def last_light_is_written(facts: ShowingFacts) -> Iterator[Blocker]:
    take_down, number = facts.display.take_down, facts.object.number
    if take_down is None or take_down.lamps_off_at is None:
        text = f"The time when the lamps went off over {number} is not written: write it."
        yield Blocker("takedown.lamps", text, Role.CONSERVATOR)
    if take_down is None or (take_down.last_lux is None and not take_down.reading_impossible):
        text = f"The last light reading at {number} is missing: read it, or say why it can't be."
        yield Blocker("takedown.light", text, Role.CONSERVATOR)


def early_end_is_explained(facts: ShowingFacts) -> Iterator[Blocker]:
    take_down, number = facts.display.take_down, facts.object.number
    if take_down is None or not take_down.early:
        return
    if not take_down.reason.strip():
        text = f"{number} comes down before its last day: say why."
        yield Blocker("takedown.reason", text, Role.CONSERVATOR)
    if not take_down.told_curator:
        text = f"Tell the curator that {number} comes down early, and record it."
        yield Blocker("takedown.told", text, Role.CONSERVATOR, "curator")
    if facts.object.lender and not take_down.told_lender:
        text = f"Tell {facts.object.lender} that {number} comes down early, and record it."
        yield Blocker("takedown.told", text, Role.REGISTRAR, "lender")


def part_a_is_countersigned(facts: ShowingFacts) -> Iterator[Blocker]:
    """'As found' may be written by whoever takes down; a conservator countersigns it."""
    report, number = facts.report(ReportKind.DEINSTALL_AT_CASE), facts.object.number
    if "part_a" in facts.take_over.missing:
        return
    if report is None or not report.signed:
        text = f"Part A of {number}, as found at the case, is not signed: write and sign it."
        yield Blocker("part_a.missing", text, Role.CONSERVATOR)
    elif not (report.signed_by_conservator or report.countersigned_by_conservator):
        text = f"Part A of {number} ({report.report_no}) lacks a conservator's countersignature."
        yield Blocker("part_a.countersign", text, Role.CONSERVATOR)


def part_b_is_signed(facts: ShowingFacts) -> Iterator[Blocker]:
    report, number = facts.report(ReportKind.DEINSTALL_AT_BENCH), facts.object.number
    down = facts.taken_down_at
    early = report is not None and down is not None and before(report.examined_at, down)
    if report is None or not report.signed or early:
        text = f"Part B of {number}, at the bench, is not signed: compare it and sign."
        yield Blocker("part_b.missing", text, Role.CONSERVATOR)
        return
    if not report.compared_with and not report.none_known:
        text = (
            f"Part B of {number} ({report.report_no}) names no earlier report: "
            "name it, or state that none is known."
        )
        yield Blocker("part_b.compared", text, Role.CONSERVATOR)
    for light in sorted(report.compared_lights - report.lights):
        text = (
            f"{number} was examined in {light.label} light before display and not after it: "
            f"look again in {light.label} light."
        )
        yield Blocker("part_b.light", text, Role.CONSERVATOR, light.value)
    for feature in report.not_answered:
        text = f"Feature {feature} of {number} has no answer in {report.report_no}: answer it."
        yield Blocker("part_b.feature", text, Role.CONSERVATOR, feature)


def changes_are_answered(facts: ShowingFacts) -> Iterator[Blocker]:
    report, number = facts.report(ReportKind.DEINSTALL_AT_BENCH), facts.object.number
    for change in report.changes if report is not None and report.signed else ():
        if change.state in ASKS_AN_ANSWER and not change.answered:
            text = (
                f"Feature {change.feature} of {number} is “{change.state.label}” and nobody has "
                "said when and why: date it, and name the cause if it is known."
            )
            yield Blocker("change.answer", text, Role.CONSERVATOR, change.feature)
        if change.incident_needed and not change.has_incident:
            text = f"Feature {change.feature} of {number} needs an incident record: write it."
            yield Blocker("change.incident", text, Role.CONSERVATOR, change.feature)


def lenders_side_has_signed(facts: ShowingFacts) -> Iterator[Blocker]:
    loan, report = facts.home.loan, facts.report(ReportKind.DEINSTALL_AT_BENCH)
    if loan is not None and loan.courier_at_deinstall and not (report and report.courier_signed):
        text = (
            f"Loan {loan.number} asks for the courier's signature on part B of "
            f"{facts.object.number}: get it, or its signed scan."
        )
        yield Blocker("courier.deinstall", text, Role.REGISTRAR)


def housing_fits(facts: ShowingFacts) -> Iterator[Blocker]:
    housing, number = facts.preparation.housing, facts.object.number
    if housing.fits:
        return
    for unit in housing.not_housed or ("",):
        what = f"{number}, {unit}," if unit else number
        text = f"{what} has no housing that was checked to fit: make and check it."
        yield Blocker("housing.fits", text, Role.CONSERVATOR, unit)


def housing_label_is_printed(facts: ShowingFacts) -> Iterator[Blocker]:
    """Printed after it came down, for only then it says until when the object rests."""
    housing, down = facts.preparation.housing, facts.taken_down_at
    number = facts.object.number
    if not housing.label_printed:
        text = f"The housing label of {number} is not printed: print and fix it."
        yield Blocker("housing.label", text, Role.REGISTRAR)
    elif down is not None and housing.labelled_at is not None and before(housing.labelled_at, down):
        text = (
            f"The housing label of {number} was made before it came down and can't say until when "
            "it rests: print it again."
        )
        yield Blocker("housing.label", text, Role.REGISTRAR)


def movement_home_is_confirmed(facts: ShowingFacts) -> Iterator[Blocker]:
    home, number = [m for m in facts.home.movements if m.to_home], facts.object.number
    if not any(m.sent_signed for m in home):
        text = f"No movement carries {number} home with a signature: release it and sign."
        yield Blocker("movement.home", text, Role.REGISTRAR)
    elif not any(m.sent_signed and m.received_signed for m in home):
        text = f"Nobody signed for {number} at home: receive it and sign."
        yield Blocker("movement.received", text, Role.REGISTRAR)
    elif not any(m.done for m in home):
        text = f"The arrival of {number} is not confirmed: confirm it by scan, signature or paper."
        yield Blocker("movement.arrival", text, Role.REGISTRAR)


def no_incident_is_open(facts: ShowingFacts) -> Iterator[Blocker]:
    for incident in facts.home.open_incidents:
        text = f"Incident {incident.number} of {facts.object.number} is open: close it."
        yield Blocker("incident.open", text, Role.CONSERVATOR, incident.number)


def no_report_is_unsigned(facts: ShowingFacts) -> Iterator[Blocker]:
    for report in facts.reports:
        if report.this_showing and not report.signed:
            text = (
                f"Report {report.report_no} ({report.kind.label}) of {facts.object.number} is not "
                "signed: sign it or strike the draft."
            )
            yield Blocker("report.unsigned", text, Role.CONSERVATOR, report.report_no)


def no_paper_is_out(facts: ShowingFacts) -> Iterator[Blocker]:
    for paper in facts.home.papers_out:
        text = (
            f"{paper.number}, {paper.title}, of {facts.object.number} is expected back: "
            "read it back, or mark it lost or void."
        )
        yield Blocker("paper.out", text, Role.REGISTRAR, paper.number)


def lender_gets_it_back(facts: ShowingFacts) -> Iterator[Blocker]:
    if not facts.object.lender:
        return
    loan, number = facts.home.loan, facts.object.number
    if loan is None or not loan.exit_authorised:
        text = f"The exit of {number} is not authorised in writing: authorise it."
        yield Blocker("loan.exit", text, Role.REGISTRAR)
    if loan is None or not loan.receipt_signed:
        text = f"{facts.object.lender} has not signed for {number}: get the receipt."
        yield Blocker("loan.receipt", text, Role.REGISTRAR)


def resting_day_is_stored(facts: ShowingFacts) -> Iterator[Blocker]:
    if not facts.home.resting_stored:
        text = (
            f"The day until which {facts.object.number} rests is not stored yet: closing the "
            "file computes it and keeps it with its inputs."
        )
        yield Blocker("resting.stored", text, Role.REGISTRAR)


def next_showing_is_accepted(facts: ShowingFacts) -> Iterator[Blocker]:
    coming, number = facts.next, facts.object.number
    if coming is None:
        text = f"It is not named to which showing {number} is passed on: name it."
        yield Blocker("next.missing", text, Role.REGISTRAR)
        return
    if not coming.accepted:
        text = f"{coming.exhibition} has no yes for {number} yet: answer {coming.showing_no}."
        yield Blocker("next.answer", text, Role.CONSERVATOR, coming.showing_no)
    if not coming.account_open:
        text = (
            f"The light account of {number} does not allow {coming.exhibition}: "
            "answer for its figures, or send it home."
        )
        yield Blocker("next.account", text, Role.CONSERVATOR, coming.showing_no)


def travel_housing_fits(facts: ShowingFacts) -> Iterator[Blocker]:
    housing = facts.preparation.housing
    if not (housing.fits and housing.fit_for_travel):
        text = f"{facts.object.number} has no housing fit for travel: make and check it."
        yield Blocker("housing.travel", text, Role.CONSERVATOR)


def one_movement_passes_it_on(facts: ShowingFacts) -> Iterator[Blocker]:
    if not any(m.to_next and m.sent_signed for m in facts.home.movements):
        text = f"No movement carries {facts.object.number} on to its next showing: release it."
        yield Blocker("movement.next", text, Role.REGISTRAR)


def substitute_is_settled(facts: ShowingFacts) -> Iterator[Blocker]:
    asked = facts.request
    if not asked.substitute and not asked.no_substitute_wanted:
        text = f"Name what stands in for {facts.object.number}, or say that none is wanted."
        yield Blocker("withdraw.substitute", text, Role.CURATOR)


def object_is_back_in_its_place(facts: ShowingFacts) -> Iterator[Blocker]:
    if not facts.object.at_home:
        text = (
            f"{facts.object.number} is at {facts.object.current_place or 'no known place'} and not "
            f"back at {facts.object.normal_place or 'its place'}: bring it back and confirm it."
        )
        yield Blocker("object.back", text, Role.REGISTRAR)
