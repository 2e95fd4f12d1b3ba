"""Ask for many objects at once: one request and one answer a line, and the list kept as typed."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.display.requesting import AlternativeAsked, FaceAsked, Wish, ask_for
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.planning.counting import counted
from lifecycle.process.rights import Deed
from lifecycle.process.stages import Role
from lifecycle.process.switches import Switch
from lifecycle.process.words import ListAnswer, Priority
from lifecycle.queries.days_off import rules_in_force
from lifecycle.queries.display.list_lines import LineSaid
from lifecycle.queries.display.lists import LineAnswer, answers_to
from lifecycle.queries.display.requests import late_by
from lifecycle.queries.facts.rules import rules_of
from lifecycle.queries.rights import about_exhibition, museum_day
from lifecycle.records.models import (
    Exhibition,
    Face,
    MuseumObject,
    Person,
    RequestLine,
    RequestList,
    Showing,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ForEveryLine:
    """What holds for each line that says nothing else."""

    reason: str = ""
    priority: Priority = Priority.IMPORTANT
    no_alternative_because: str = ""
    late_note: str = ""


def _faults(
    lines: Sequence[LineSaid], said: ForEveryLine, exhibition: Exhibition, at: datetime
) -> list[Reason]:
    reasons = []
    if not lines:
        reasons.append(Reason("The list is empty: one object number a line.", "text"))
    silent = [line for line in lines if not line.reason]
    if silent and not said.reason.strip():
        text = f"{_count(silent)} no reason: say here why these objects."
        reasons.append(Reason(text, "reason", "request.reason"))
    rules = rules_of([exhibition.pk], rules_in_force(museum_day(at)))[exhibition.pk]
    alone = [line for line in lines if not line.alternatives and not line.no_alternative_because]
    asks = Switch.ALTERNATIVES not in rules.off
    if asks and alone and not said.no_alternative_because.strip():
        text = f"{_count(alone)} no alternative: name one in the line, or say why nothing else."
        reasons.append(Reason(text, "no_alternative_because", "request.alternatives"))
    late = late_by(exhibition, museum_day(at))
    if late > 0 and not said.late_note.strip():
        text = f"These requests come {counted(late, 'day')} later than the rule asks; say why."
        reasons.append(Reason(text, "late_note", "request.late"))
    return reasons


def _count(lines: Sequence[LineSaid]) -> str:
    return f"{len(lines)} line{' has' if len(lines) == 1 else 's have'}"


@transaction.atomic
def ask_by_list(
    *,
    by: Person,
    role: Role,
    at: datetime,
    exhibition: Exhibition,
    lines: Sequence[LineSaid],
    text: str,
    source: str,
    said: ForEveryLine,
) -> RequestList:
    """Answer every line and ask for those that nothing stands against, all in one transaction.

    Each good line becomes a request by the same action as the single form; every other line is
    kept with its answer. What a line's request is refused for becomes the answer of that line.

    :raises Refused: for what holds for all lines: no reason, no alternatives, late without a note
    """
    allow(by=by, role=role, deed=Deed.CHOOSE, at=at, about=about_exhibition(exhibition))
    if reasons := _faults(lines, said, exhibition, at):
        raise Refused(reasons)
    answers = answers_to(lines, exhibition, at)
    rules = rules_in_force(museum_day(at))
    asked = RequestList(
        exhibition=exhibition,
        by=by,
        role=role.value,
        at=at,
        source=source[:200],
        text=text,
        said={
            "reason": said.reason.strip(),
            "priority": said.priority.value,
            "no_alternative_because": said.no_alternative_because.strip(),
            "late_note": said.late_note.strip(),
        },
        rules_version=None if rules is None else rules.version,
    ).append()
    alternatives = _Alternatives(lines)
    for answer in answers:
        _write(asked, answer, alternatives, by=by, role=role, at=at)
    return asked


@transaction.atomic
def ask_line_again(
    *,
    by: Person,
    role: Role,
    at: datetime,
    line: RequestLine,
    read: LineSaid,
    object_number: str = "",
    all_the_same: bool = False,
) -> RequestLine:
    """Ask for one line of a list again: with the number that was meant, or all the same.

    ``read`` is the line as it was typed, read again; ``all_the_same`` asks in spite of a rest,
    another booking or the light account, which the conservator then answers.

    :raises Refused: when the line was asked again meanwhile or stands as a request already
    """
    asked = RequestList.objects.select_related("exhibition").get(pk=line.request_list_id)
    exhibition = Exhibition.objects.select_for_update().get(pk=asked.exhibition_id)
    allow(by=by, role=role, deed=Deed.CHOOSE, at=at, about=about_exhibition(exhibition))
    last = asked.lines.filter(number=line.number).order_by("-pk").first()
    if last is None or last.pk != line.pk:
        raise Refused(f"Line {line.number} was asked again meanwhile: look at its answer.")
    if line.showing_id is not None:
        raise Refused(f"Line {line.number} is a request already.")
    meant = replace(read, object_number=object_number or line.object_number)
    answer = answers_to([meant], exhibition, at)[0]
    if all_the_same:
        if not answer.can_be_asked_all_the_same and answer.answer is not ListAnswer.GO:
            raise Refused(f"Line {line.number}: {answer.because}")
        notes = (f"Asked all the same: {answer.answer.label}.", *answer.notes)
        answer = replace(answer, answer=ListAnswer.GO, notes=notes)
    return _write(asked, answer, _Alternatives([meant]), by=by, role=role, at=at)


class _Alternatives:
    """What the alternatives of all lines mean: an object, a face of the same one, or words."""

    def __init__(self, lines: Sequence[LineSaid]) -> None:
        named = {text for line in lines for text in line.alternatives}
        self.things = {
            thing.object_number: thing
            for thing in MuseumObject.objects.filter(object_number__in=named)
        }

    def of(self, answer: LineAnswer) -> list[AlternativeAsked]:
        faces = {
            face.label.casefold(): face
            for face in Face.objects.filter(museum_object=answer.museum_object)
        }
        found = []
        for text in answer.line.alternatives:
            face, thing = faces.get(text.casefold()), self.things.get(text)
            if face is not None:
                found.append(AlternativeAsked(face=face))
            elif thing is not None:
                found.append(AlternativeAsked(museum_object=thing))
            else:
                found.append(AlternativeAsked(text=text))
        return found


def _write(
    asked: RequestList,
    answer: LineAnswer,
    alternatives: _Alternatives,
    *,
    by: Person,
    role: Role,
    at: datetime,
) -> RequestLine:
    showing: Showing | None = None
    if answer.answer is ListAnswer.GO and answer.museum_object is not None:
        try:
            showing = ask_for(
                by=by,
                role=role,
                at=at,
                exhibition=asked.exhibition,
                museum_object=answer.museum_object,
                wish=_wish(asked, answer, alternatives),
            )
        except Refused as refused:
            answer = replace(answer, answer=ListAnswer.UNCLEAR, because=str(refused))
    return RequestLine(
        request_list=asked,
        number=answer.line.number,
        typed=dict(answer.line.typed),
        object_number=answer.line.object_number[:200],
        museum_object=answer.museum_object,
        answer=answer.answer.value,
        because=answer.because,
        earliest=answer.earliest,
        notes=list(answer.notes),
        bookings=list(answer.bookings),
        nearest=[{"number": one.number, "title": one.title} for one in answer.nearest],
        alternatives=len(answer.line.alternatives),
        inputs=answer.inputs,
        showing=showing,
        by=by,
        role=role.value,
        at=at,
    ).append()


def _wish(asked: RequestList, answer: LineAnswer, alternatives: _Alternatives) -> Wish:
    line, said = answer.line, asked.said
    priority = Priority(line.priority) if line.priority else Priority(said["priority"])
    return Wish(
        faces=[
            FaceAsked(face=one.face, from_on=one.first, until_on=one.last) for one in answer.faces
        ],
        reason=line.reason or said["reason"],
        show_from=min(one.first for one in answer.faces),
        show_to=max(one.last for one in answer.faces),
        priority=priority,
        alternatives=alternatives.of(answer),
        no_alternative_because=line.no_alternative_because
        or ("" if line.alternatives else said["no_alternative_because"]),
        late_note=said["late_note"],
        # The other bookings of every line stand in its answer, which is shown before asking.
        duplicates_seen=True,
    )
