"""Gates of the request, its answer, the refusal, and the taking over of what already hangs."""

from collections.abc import Iterator

from lifecycle.process.days import day_words
from lifecycle.process.facts.showing import ShowingFacts
from lifecycle.process.gates.blocker import Blocker
from lifecycle.process.stages import Role
from lifecycle.process.words import Answer

YES_OF_A_KIND = frozenset({Answer.YES, Answer.YES_WITH_CONDITIONS, Answer.AFTER_TREATMENT})
NO_OF_A_KIND = frozenset(set(Answer) - YES_OF_A_KIND)


def exhibition_still_takes_objects(facts: ShowingFacts) -> Iterator[Blocker]:
    if facts.exhibition.over:
        text = (
            f"{facts.exhibition.title} is closed and takes no more objects: "
            f"ask for {facts.object.number} in another exhibition."
        )
        yield Blocker("request.exhibition", text, Role.CURATOR)


def object_is_known(facts: ShowingFacts) -> Iterator[Blocker]:
    if not facts.object.number:
        text = "The object is not known here: choose it from the list, or have it entered first."
        yield Blocker("request.object", text, Role.CURATOR)


def reason_is_given(facts: ShowingFacts) -> Iterator[Blocker]:
    if not facts.request.reason.strip():
        text = f"Say why {facts.object.number} is asked for, and why this face."
        yield Blocker("request.reason", text, Role.CURATOR)


def dates_lie_inside_the_run(facts: ShowingFacts) -> Iterator[Blocker]:
    run, asked = facts.exhibition, facts.request
    if not run.opens <= asked.show_from <= asked.show_to <= run.closes:
        text = (
            f"The days asked for {facts.object.number} ({day_words(asked.show_from)} to "
            f"{day_words(asked.show_to)}) do not lie inside the run of {run.title}, "
            f"{day_words(run.opens)} to {day_words(run.closes)}: change the days."
        )
        yield Blocker("request.dates", text, Role.CURATOR)


def faces_are_named_in_order(facts: ShowingFacts) -> Iterator[Blocker]:
    orders = [face.order for face in facts.faces]
    if not facts.faces:
        text = f"Name at least one face of {facts.object.number} to be shown."
        yield Blocker("request.faces", text, Role.CURATOR)
    elif len(set(orders)) < len(orders):
        text = f"Two faces of {facts.object.number} stand in the same place: put them in order."
        yield Blocker("request.faces", text, Role.CURATOR)


def alternatives_were_asked(facts: ShowingFacts) -> Iterator[Blocker]:
    if not facts.request.alternatives and not facts.request.no_alternative_because.strip():
        text = (
            f"Name what could be shown instead of {facts.object.number}, "
            "or say why nothing else will do."
        )
        yield Blocker("request.alternatives", text, Role.CURATOR)


def other_bookings_were_seen(facts: ShowingFacts) -> Iterator[Blocker]:
    if facts.request.duplicates_seen:
        return
    for other in facts.object.others:
        text = (
            f"{facts.object.number} is also asked for by {other.exhibition} "
            f"({day_words(other.first)} to {day_words(other.last)}): "
            "say that you have seen it and ask all the same."
        )
        yield Blocker("request.duplicate", text, Role.CURATOR, other.showing_no)


def request_was_answered_with_yes(facts: ShowingFacts) -> Iterator[Blocker]:
    if facts.answer is None:
        text = f"The request for {facts.object.number} is not answered yet: answer it."
        yield Blocker("answer.missing", text, Role.CONSERVATOR)
    elif facts.answer.answer not in YES_OF_A_KIND:
        text = (
            f"The answer for {facts.object.number} was “{facts.answer.answer.label}”: "
            "answer again, or decline the request."
        )
        yield Blocker("answer.no", text, Role.CONSERVATOR)


def faces_may_be_shown(facts: ShowingFacts) -> Iterator[Blocker]:
    for face in facts.faces:
        if face.never_show:
            text = (
                f"{facts.object.number}, {face.label}, is never to be shown "
                f"({face.never_show_reason}): take another face or a facsimile."
            )
            yield Blocker("face.never_show", text, Role.CURATOR, face.label)


def object_is_in_no_other_showing(facts: ShowingFacts) -> Iterator[Blocker]:
    for other in facts.object.others:
        if other.past_selection:
            text = (
                f"{facts.object.number} is under way for {other.exhibition} "
                f"({other.showing_no}): send it home or pass it on first."
            )
            yield Blocker("object.elsewhere", text, Role.REGISTRAR, other.showing_no)


def no_other_booking_overlaps(facts: ShowingFacts) -> Iterator[Blocker]:
    first, last = facts.request.show_from, facts.request.show_to
    for other in facts.object.others:
        if not other.accepted or other.past_selection:
            continue
        between = (first - other.last).days if first > other.last else (other.first - last).days
        if between <= other.travel_days:
            text = (
                f"{facts.object.number} is promised to {other.exhibition} from "
                f"{day_words(other.first)} to {day_words(other.last)}, with {other.travel_days} "
                "days of travel: change the days here or there."
            )
            yield Blocker("booking.overlap", text, Role.CURATOR, other.showing_no)


def light_account_answers(facts: ShowingFacts) -> Iterator[Blocker]:
    """The account never passes silently: without class, timetable or lux it says what it lacks."""
    for face in facts.faces:
        line = facts.light.of(face.face_id)
        if line is None:
            text = (
                f"No light account answers for {facts.object.number}, {face.label}: "
                "give it a sensitivity class and its place a timetable."
            )
            yield Blocker("account.missing", text, Role.CONSERVATOR, face.label)
            continue
        for lack in line.missing:
            text = f"The light account of {facts.object.number}, {face.label}, lacks: {lack}."
            yield Blocker("account.missing", text, Role.CONSERVATOR, face.label)


def light_account_allows_it(facts: ShowingFacts) -> Iterator[Blocker]:
    """Or the head of collections put the answer above the rules, by name and with a reason."""
    if facts.answer is not None and facts.answer.override_by_head:
        return
    for face in facts.faces:
        line = facts.light.of(face.face_id)
        if line is None or line.missing:
            continue
        if line.resting_until is not None and line.resting_until > facts.request.show_from:
            text = (
                f"{facts.object.number}, {face.label}, is resting until "
                f"{day_words(line.resting_until)}: show it later, take another face, "
                "or ask the head of collections for an override."
            )
            yield Blocker("account.resting", text, Role.CONSERVATOR, face.label)
        if line.left is not None and line.planned is not None and line.planned > line.left:
            text = (
                f"The light account of {facts.object.number}, {face.label}, has "
                f"{line.left:,.0f} lx·h left and this showing asks {line.planned:,.0f} lx·h: "
                "shorten it, dim it, turn it, or ask the head of collections for an override."
            )
            yield Blocker("account.left", text, Role.CONSERVATOR, face.label)


def lender_was_asked(facts: ShowingFacts) -> Iterator[Blocker]:
    if not facts.object.lender:
        return
    loan = facts.home.loan
    if loan is None or not loan.leave_asked:
        text = (
            f"{facts.object.number} belongs to {facts.object.lender}: "
            "ask for the lender's leave and record it."
        )
        yield Blocker("lender.leave", text, Role.REGISTRAR)
    elif loan.leave_refused:
        text = (
            f"{facts.object.lender} does not agree that {facts.object.number} is shown: "
            "ask again or decline the request."
        )
        yield Blocker("lender.refused", text, Role.REGISTRAR)


def refusal_is_grounded_and_kept(facts: ShowingFacts) -> Iterator[Blocker]:
    answer = facts.answer
    if answer is None or answer.answer not in NO_OF_A_KIND:
        text = (
            f"Answer the request for {facts.object.number} with a no, "
            "so that the reason stays on record."
        )
        yield Blocker("decline.answer", text, Role.CONSERVATOR)
        return
    if not answer.grounds:
        text = f"State the grounds on which {facts.object.number} is not shown."
        yield Blocker("decline.grounds", text, Role.CONSERVATOR)
    if not answer.stored:
        text = (
            f"The earliest day and the alternatives for {facts.object.number} are not stored "
            "with what they were computed from: answer again."
        )
        yield Blocker("decline.inputs", text, Role.CONSERVATOR)


def taking_over_is_open(facts: ShowingFacts) -> Iterator[Blocker]:
    if not facts.take_over.period_open:
        text = (
            f"{facts.object.number} can't be taken over: the time for taking over what already "
            "hangs is past or not set in the house rules. Ask for it as a new showing."
        )
        yield Blocker("takeover.period", text, Role.HEAD_OF_COLLECTIONS)


def taking_over_is_stated(facts: ShowingFacts) -> Iterator[Blocker]:
    entry, number = facts.take_over, facts.object.number
    if not (entry.entered and entry.face and entry.place):
        text = f"Say which face of {number} is concerned and where it is."
        yield Blocker("takeover.where", text, Role.REGISTRAR)
    if not entry.since:
        text = f"Say since when {number} has been there, from and to if it is not known exactly."
        yield Blocker("takeover.since", text, Role.REGISTRAR)
    if not (entry.report_named or entry.report_none_known):
        text = f"Name the last condition report of {number} with its scan, or state “none known”."
        yield Blocker("takeover.report", text, Role.REGISTRAR)
    if not entry.light_so_far:
        text = f"Estimate the light {number} has had so far: low, likely and high."
        yield Blocker("takeover.light", text, Role.CONSERVATOR)
    if not entry.missing_listed:
        text = f"List what is missing for {number}, or say that nothing is."
        yield Blocker("takeover.missing", text, Role.REGISTRAR)
