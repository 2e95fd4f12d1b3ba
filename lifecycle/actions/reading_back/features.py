"""Features of a filled sheet: answers to the known ones, and rows that were added by hand."""

import re
from dataclasses import replace
from decimal import Decimal
from typing import Final

from lifecycle.actions.condition.findings import Sight, add_finding, answer_feature, box_of
from lifecycle.actions.reading_back.deciding import SHEET, Deciding, as_printed
from lifecycle.actions.refusals import Refused
from lifecycle.papers.sheets.asked import TICK
from lifecycle.papers.sheets.shared import GLANCE_TICKS, STATE_TICKS
from lifecycle.process.words import FeatureState, Severity
from lifecycle.records.models import (
    ConditionReport,
    Face,
    Observation,
    ReportFace,
    Vocabulary,
    Word,
)
from lifecycle.records.models.condition.words import Zone

STATES: Final = {
    **dict(
        zip(
            STATE_TICKS,
            (
                FeatureState.SAME,
                FeatureState.WORSE,
                FeatureState.LESS,
                FeatureState.GONE,
                FeatureState.COULD_NOT_BE_SEEN,
                FeatureState.NOT_LOOKED_AT,
            ),
            strict=True,
        )
    ),
    # 'changed?' at a glance is a question: it stays open, with its words in the note.
    **dict(
        zip(
            GLANCE_TICKS,
            (FeatureState.SAME, FeatureState.NOT_LOOKED_AT, FeatureState.COULD_NOT_BE_SEEN),
            strict=True,
        )
    ),
}
QUESTION: Final = GLANCE_TICKS[1]
_SIZE: Final = re.compile(r"(\d+(?:[.,]\d+)?)(?:\s*[x×]\s*(\d+(?:[.,]\d+)?))?")


def take_known(deciding: Deciding, report: ConditionReport, table: str) -> None:
    """Answer the features of one table of the sheet: how each stands, and the note beside it."""
    rows = report.observations.filter(taken_back=False).select_related("feature", "term")
    for seen in rows.order_by("feature__number"):
        name = f"F{seen.feature.number}"
        tick = f"{table}.{name}.{TICK}"
        ticked = deciding.one(tick, name)
        written = deciding.text(f"{table}.{name}.new")
        if ticked == QUESTION:
            written = "; ".join(
                part for part in (f"{QUESTION} ({deciding.print})", written) if part
            )
        if not ticked and not written:
            continue
        then = as_printed(seen, deciding.print.printed_at)
        state = STATES.get(ticked)
        sight = sight_as_it_stands(seen)
        if state is not None and deciding.wants(
            tick, name, state.label, _state(seen.state), _state(then.state) if then else None
        ):
            sight = replace(sight, state=state)
        if deciding.wants(
            f"{table}.{name}.new",
            f"Note on {name}",
            written,
            seen.note,
            then.note if then else None,
        ):
            sight = replace(sight, note=written)
        if (sight.state, sight.note) == (seen.state, seen.note):
            continue
        try:
            answer_feature(
                observation=seen, sight=sight, revision=seen.revision, **deciding.writer.signed
            )
        except Refused as refused:
            deciding.carry_over(refused, tick)


def _state(state: str) -> str:
    """A state as the record says it; a feature that nobody looked at says nothing yet."""
    return "" if state == FeatureState.NOT_LOOKED_AT else FeatureState(state).label


def sight_as_it_stands(seen: Observation) -> Sight:
    """The sight that an observation holds, to change one thing of it."""
    same = ("layer", "zone", "clock_position", "length_mm", "width_mm", "count", "severity")
    return Sight(
        term=seen.term,
        state=FeatureState(seen.state),
        box=box_of(seen),
        activity=seen.activity,
        seen_in=seen.seen_in,
        picture=seen.picture,
        note=seen.note,
        **{name: getattr(seen, name) for name in same},
    )


def take_new(deciding: Deciding, report: ConditionReport, face: Face, table: str) -> None:
    """Record the features that were written into the empty rows of a face's table."""
    numbers = sorted(
        {
            key.split(".")[-2]
            for key, answer in deciding.answers.items()
            if answer and key.startswith(f"{table}.F") and key.endswith((".what", ".zone", ".new"))
        },
        key=lambda number: int(number[1:]),
    )
    for number in numbers:
        row = f"{table}.{number}"
        # Only rows of known features have boxes; the others were written in by hand.
        if f"{row}.{TICK}" not in deciding.answers:
            _take_row(deciding, report, face, row, number)


def _take_row(
    deciding: Deciding, report: ConditionReport, face: Face, row: str, number: str
) -> None:
    term = _term(deciding, row, number)
    zone = deciding.text(f"{row}.zone").upper().replace(" ", "")
    if zone not in set(Zone.values):
        deciding.refuse(
            f"{number}: write its zone as A1 to C3, as it is on the sheet.", f"{row}.zone"
        )
    severity = _severity(deciding, row, number)
    length, width = _size(deciding, row, number)
    if term is None or zone not in set(Zone.values):
        return
    same = (
        report.observations.filter(
            feature__face=face, term=term, zone=zone, taken_back=False,
            state=FeatureState.FIRST_RECORD,
        )
        .select_related("feature")
        .first()
    )  # fmt: skip
    label = f"{number}, new"
    words = f"{term.label}, {zone}"
    if not deciding.wants(
        f"{row}.what", label, words, f"F{same.feature.number}, {words}" if same else "", None
    ):
        return
    try:
        seen = add_finding(
            report=report,
            face=face,
            sight=Sight(
                term=term,
                state=FeatureState.FIRST_RECORD,
                zone=zone,
                severity=severity,
                length_mm=length,
                width_mm=width,
                note=deciding.text(f"{row}.new"),
            ),
            **deciding.writer.signed,
        )
    except Refused as refused:
        deciding.carry_over(refused, f"{row}.what")
        return
    given = f"F{seen.feature.number}"
    if given != number:
        text = f"{given} in the record: {number} was given to another feature meanwhile"
        deciding.note(f"{row}.number", label, number, text, SHEET)


def _term(deciding: Deciding, row: str, number: str) -> Word | None:
    """The condition term that a row begins with, as the museum's list has it."""
    written = deciding.text(f"{row}.what")
    first = re.split(r"[,;:]", written)[0].strip()
    words = Word.objects.filter(vocabulary=Vocabulary.CONDITION_TERM, retired_on=None)
    term = words.filter(label__iexact=first).first() if first else None
    if term is None:
        text = (
            f"{number}: “{first}” is no term of the museum's list. Begin with a term of the list, "
            "then a comma and what else stands there."
            if first
            else f"{number}: write which term stands on the sheet."
        )
        deciding.refuse(text, f"{row}.what")
    return term


def _severity(deciding: Deciding, row: str, number: str) -> int | None:
    written = deciding.text(f"{row}.severity")
    if not written:
        return None
    if written[0].isdecimal() and int(written[0]) in {one.value for one in Severity}:
        return int(written[0])
    deciding.refuse(f"{number}: a severity is 0 to 3.", f"{row}.severity")
    return None


def _size(deciding: Deciding, row: str, number: str) -> tuple[Decimal | None, Decimal | None]:
    """Length and width in mm: 14, or 14 × 3."""
    written = deciding.text(f"{row}.size").lower().removesuffix("mm").strip()
    if not written:
        return None, None
    found = _SIZE.fullmatch(written)
    if found is None:
        deciding.refuse(f"{number}: write the size in mm as 14, or 14 × 3.", f"{row}.size")
        return None, None
    length, width = (Decimal(part.replace(",", ".")) if part else None for part in found.groups())
    return length, width


def faces_of(report: ConditionReport) -> list[ReportFace]:
    """The faces of a report in the order in which its sheet has them."""
    rows = report.report_faces.filter(dropped=False).select_related("face")
    return sorted(rows, key=lambda row: (row.face.order, row.face_id))
