"""Findings: a new feature gets the object's next number; a known one is answered."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Final

from django.db import transaction

from lifecycle.actions.condition.contested import told_apart
from lifecycle.actions.condition.draft import open_draft
from lifecycle.actions.refusals import Conflict, Reason, Refused
from lifecycle.process.stages import Role
from lifecycle.process.words import FeatureState
from lifecycle.queries.condition.known import next_feature_number
from lifecycle.records.models.condition import (
    ConditionReport,
    Feature,
    LightUsed,
    Observation,
    ReportFace,
)
from lifecycle.records.models.objects import Face, MuseumObject
from lifecycle.records.models.people import Person
from lifecycle.records.models.pictures import Picture
from lifecycle.records.models.words import Vocabulary, Word
from lifecycle.science.selectors import Mark, selector_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """A box on the picture, in percent from its top left corner."""

    left: Decimal
    top: Decimal
    width: Decimal
    height: Decimal


def box_of(seen: Observation) -> Box | None:
    """The box of a finding as it stands; all four sides are there, or none is."""
    left, top, width, height = seen.box_left, seen.box_top, seen.box_width, seen.box_height
    if left is None or top is None or width is None or height is None:
        return None
    return Box(left=left, top=top, width=width, height=height)


@dataclass(frozen=True, slots=True, kw_only=True)
class Sight:
    """How a feature looks today. Lengths in mm.

    Where: a zone, a mark on the picture ``marked_on``, a clock position; a box in percent where the
    face has no picture. A mark takes the place of a box. A mark that stands stays where neither is
    given, unless ``unmarked`` takes it away.
    """

    term: Word
    state: FeatureState
    layer: str = ""
    zone: str = ""
    box: Box | None = None
    mark: Mark | None = None
    marked_on: Picture | None = None
    unmarked: bool = False
    clock_position: int | None = None
    length_mm: Decimal | None = None
    width_mm: Decimal | None = None
    count: int | None = None
    severity: int | None = None
    activity: str = ""
    seen_in: LightUsed | None = None
    picture: Picture | None = None
    note: str = ""


CONTESTED: Final = (
    *("term", "state", "severity", "layer", "activity", "zone", "clock_position"),
    *("length_mm", "width_mm", "count", "seen_in", "note"),
)
"""What two answers to one feature may differ in; where they do, both stand side by side."""


@transaction.atomic
def add_finding(
    *,
    report: ConditionReport,
    face: Face,
    sight: Sight,
    by: Person,
    role: Role,
    at: datetime,
) -> Observation:
    """Record a feature for the first time; its number is the object's next and stays for life.

    :raises Refused: a face the report does not cover, no place on it, a term of another list
    """
    kept = open_draft(report, by=by, role=role, at=at)
    reasons = reasons_about_sight(kept, sight, face)
    if not ReportFace.objects.filter(report=kept, face=face, dropped=False).exists():
        text = f"{kept} does not cover the face “{face}”; choose one of its faces."
        reasons.append(Reason(text, "face", "condition.face"))
    if not is_located(sight):
        reasons.append(_not_located())
    if sight.state != FeatureState.FIRST_RECORD:
        text = "A new finding is a first record; a known one is answered in its own row."
        reasons.append(Reason(text, "state", "condition.state"))
    if reasons:
        raise Refused(reasons)
    museum_object = MuseumObject.objects.select_for_update().get(pk=kept.museum_object_id)
    feature = Feature(
        museum_object=museum_object,
        face=face,
        number=next_feature_number(museum_object),
        term=sight.term,
    ).keep(by=by, role=role, why=f"found in {kept}", at=at)
    observation = Observation(report=kept, feature=feature, revision=1)
    _put(observation, sight, by, at)
    return observation.keep(by=by, role=role, why="finding recorded", at=at)


@transaction.atomic
def answer_feature(
    *,
    observation: Observation,
    sight: Sight,
    revision: int,
    by: Person,
    role: Role,
    at: datetime,
) -> Observation:
    """Say how a feature stands in this report: same, worse, less, gone, treated, not looked at …

    :raises Conflict: if somebody answered it meanwhile
    """
    report = open_draft(observation.report, by=by, role=role, at=at)
    kept = (
        Observation.objects.select_for_update(of=("self",))
        .select_related("feature__face", "term", "written_by", "seen_in")
        .get(pk=observation.pk)
    )
    if kept.revision != revision:
        raise _conflict(kept, sight)
    reasons = reasons_about_sight(report, sight, kept.feature.face)
    unlooked = {FeatureState.NOT_LOOKED_AT, FeatureState.COULD_NOT_BE_SEEN}
    stays = kept.selector is not None and not sight.unmarked
    if sight.state not in unlooked and not (is_located(sight) or stays):
        reasons.append(_not_located())
    first_here = is_only_record(kept)
    if first_here and sight.state != FeatureState.FIRST_RECORD:
        text = f"F{kept.feature.number} is new in this report, so it is a first record."
        reasons.append(Reason(text, "state", "condition.state"))
    if reasons:
        raise Refused(reasons)
    _put(kept, sight, by, at)
    kept.revision += 1
    kept.keep(by=by, role=role, why=f"feature answered: {sight.state.label}", at=at)
    if first_here:
        name_feature(kept, by=by, role=role, at=at)
    return kept


def is_only_record(seen: Observation) -> bool:
    """Whether no other report has a row of this feature; it is called as this one calls it."""
    return not Observation.objects.filter(feature=seen.feature).exclude(pk=seen.pk).exists()


def name_feature(first: Observation, *, by: Person, role: Role, at: datetime) -> None:
    """Let a feature be called as its only record calls it."""
    feature = Feature.objects.select_for_update().get(pk=first.feature_id)
    if feature.term_id != first.term_id:
        feature.term = first.term
        feature.keep(by=by, role=role, why="term of its first record changed", at=at)
        first.feature = feature


@transaction.atomic
def take_back_finding(
    *, observation: Observation, why: str, by: Person, role: Role, at: datetime
) -> Observation:
    """Take back a finding that this draft recorded first; its number is not used again."""
    open_draft(observation.report, by=by, role=role, at=at)
    kept = Observation.objects.select_for_update(of=("self",)).get(pk=observation.pk)
    reasons = []
    if not why.strip():
        reasons.append(Reason("Say why this finding is taken back.", "why", "condition.why"))
    if kept.state != FeatureState.FIRST_RECORD:
        text = (
            f"F{kept.feature.number} is known from earlier reports and stays in the list: "
            "answer it 'not looked at', 'could not be seen' or 'gone'."
        )
        reasons.append(Reason(text, code="condition.known"))
    if reasons:
        raise Refused(reasons)
    kept.taken_back = True
    kept.revision += 1
    return kept.keep(by=by, role=role, why=why.strip(), at=at)


def is_located(sight: Sight) -> bool:
    return bool(sight.zone or sight.box or sight.mark or sight.clock_position)


def _not_located() -> Reason:
    text = "Say where it is: a zone of the grid, a mark on the picture, or a clock position."
    return Reason(text, "zone", "condition.where_on_it")


def _reasons_about_mark(sight: Sight, face: Face) -> Iterator[Reason]:
    mark, picture = sight.mark, sight.marked_on
    if mark is None:
        return
    if picture is None:
        text = "There is no picture to mark this on: add one, or name the zone."
        yield Reason(text, "places", "condition.mark")
    elif picture.face_id not in {None, face.pk}:
        text = f"This picture shows another face than “{face}”; mark it on one of this face."
        yield Reason(text, "places", "condition.mark")
    elif (mark.width, mark.height) != (picture.width, picture.height):
        text = "The mark was made on a picture of another size; mark it again."
        yield Reason(text, "places", "condition.mark")


def reasons_about_sight(report: ConditionReport, sight: Sight, face: Face) -> list[Reason]:
    """Return what is impossible in one sight, beside its fields."""
    reasons = list(_reasons_about_mark(sight, face))
    if sight.term.vocabulary != Vocabulary.CONDITION_TERM:
        text = f"“{sight.term}” is not a condition term; choose one of the list."
        reasons.append(Reason(text, "term", "condition.term"))
    box = sight.box
    if box is not None and not (
        box.left >= 0
        and box.top >= 0
        and box.width > 0
        and box.height > 0
        and box.left + box.width <= 100
        and box.top + box.height <= 100
    ):
        text = "The box must lie on the picture: percent from 0 to 100, with a width and a height."
        reasons.append(Reason(text, "box_left", "condition.box"))
    if sight.clock_position is not None and not 1 <= sight.clock_position <= 12:
        reasons.append(Reason("A clock position runs from 1 to 12.", "clock_position"))
    for name, label in (("length_mm", "length"), ("width_mm", "width")):
        value = getattr(sight, name)
        if value is not None and value <= 0:
            text = f"The {label} must be more than 0 mm; leave it empty if it was not measured."
            reasons.append(Reason(text, name, "condition.size"))
    if sight.seen_in is not None and sight.seen_in.report_id != report.pk:
        text = "This light was not used in this report; choose one of its lights."
        reasons.append(Reason(text, "seen_in", "condition.light"))
    return reasons


def _put(observation: Observation, sight: Sight, by: Person, at: datetime) -> None:
    for name in Sight.__dataclass_fields__:
        if name not in {"box", "mark", "marked_on", "unmarked"}:
            setattr(observation, name, getattr(sight, name))
    observation.note = sight.note.strip()
    mark = sight.mark
    if mark or sight.box or sight.unmarked:
        observation.selector = selector_of(mark) if mark else None
        observation.marked_on = sight.marked_on if mark else None
    box = None if mark else sight.box
    observation.box_left = box.left if box else None
    observation.box_top = box.top if box else None
    observation.box_width = box.width if box else None
    observation.box_height = box.height if box else None
    observation.written_by, observation.written_at = by, at


def _conflict(kept: Observation, sight: Sight) -> Conflict:
    text = (
        f"{kept.written_by} answered F{kept.feature.number} while you were writing. "
        "Both answers stand below: decide, and save again."
    )
    theirs, mine = told_apart(CONTESTED, kept, sight)
    return Conflict(
        text, theirs=theirs, mine=mine, by=kept.written_by.full_name, version=kept.revision
    )
