"""What the page of a table shows before it is brought in: groups, words nobody knows, doubts."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from lifecycle.actions.objects.bringing_in import may_add, meanings_of, table_of
from lifecycle.actions.objects.cards import keeps_communities
from lifecycle.exchange.object_table.comparing import (
    NOT_DESCRIBED,
    Numbers,
    Plan,
    Planned,
    plan_of,
)
from lifecycle.exchange.object_table.line import CAN_DO_WITHOUT, LISTS, NO_WARNING, Unknown
from lifecycle.exchange.object_table.lines import BadLine, read_objects
from lifecycle.exchange.object_table.places_named import Missing, places_to_add
from lifecycle.process.stages import Role
from lifecycle.queries.object_cards import Lookup, lookups
from lifecycle.records.models.work import Work

MOST_WORDS: Final = 150
NOT_SHOWN: Final = "(not shown to your role)"


@dataclass(frozen=True, slots=True)
class Question:
    """A word of the table that no list has, with what it may stand for."""

    unknown: Unknown
    choices: tuple[tuple[str, tuple[tuple[str, str], ...]], ...]
    addable: Missing | None
    may_add: bool
    may_leave_out: bool


@dataclass(frozen=True, slots=True)
class Preview:
    """A table set beside the records."""

    plan: Plan
    bad: Sequence[BadLine]
    questions: Sequence[Question]
    more_words: int
    notes: Sequence[str]
    doubts: Sequence[str]
    lines: int

    @property
    def writes(self) -> int:
        return len(self.plan.new) + len(self.plan.changed)


def preview_of(work: Work, role: Role, brings: Role) -> Preview:
    """Read the table and compare it; nothing is written.

    :param role: in which words may be added
    :param brings: in which the table is brought in
    """
    table = table_of(work)
    lists = lookups()
    reading = read_objects(table, work.inputs["keys"], lists, meanings_of(work))
    plan = plan_of(reading.objects, Numbers(), lists, keeps_communities(brings))
    bad = sorted([*reading.bad, *plan.bad], key=lambda one: one.number)
    unknown = sorted(reading.unknown, key=lambda one: (one.list_name, -len(one.lines)))
    missing = {
        one.word: one
        for one in places_to_add(one.word for one in unknown if one.list_name == "place")
    }
    return Preview(
        plan=plan,
        bad=bad,
        questions=[_question(one, lists, missing, role) for one in unknown[:MOST_WORDS]],
        more_words=max(0, len(unknown) - MOST_WORDS),
        notes=table.notes,
        doubts=_doubts(plan),
        lines=len(table.lines),
    )


def missing_places(work: Work) -> dict[str, Missing]:
    """Places the table names and the tree lacks, by the name in the table."""
    lists = lookups()
    reading = read_objects(table_of(work), work.inputs["keys"], lists, meanings_of(work))
    words = (one.word for one in reading.unknown if one.list_name == "place")
    return {one.word: one for one in places_to_add(words)}


def _question(
    unknown: Unknown, lists: Mapping[str, Lookup], missing: Mapping[str, Missing], role: Role
) -> Question:
    near = tuple((word, word) for word in unknown.near if word not in NO_WARNING)
    others = tuple(
        (word, word)
        for word in lists[unknown.list_name].all()
        if word not in unknown.near and word not in NO_WARNING
    )
    groups = (("Near it", near), ("All others", others)) if near else (("All", others),)
    return Question(
        unknown=unknown,
        choices=groups,
        addable=missing.get(unknown.word) if unknown.list_name == "place" else None,
        may_add=may_add(unknown.list_name, role),
        may_leave_out=unknown.list_name in CAN_DO_WITHOUT,
    )


def _doubts(plan: Plan) -> list[str]:
    """What is no fault of a line and still to be seen to."""
    counted: list[tuple[int, str]] = [
        (
            _many(plan.new, lambda one: not one.after.faces),
            "no face: without one it can't be shown",
        ),
        (
            _many(
                plan.new,
                lambda one: any(f["landmark"] == NOT_DESCRIBED for f in one.after.faces.values()),
            ),
            f"a face without its landmark: it is kept as “{NOT_DESCRIBED}”, to be written down "
            "beside the object",
        ),
        (
            _many(plan.new, lambda one: not one.after.hazards),
            "no word on hazards: these count as not assessed",
        ),
        (_many(plan.new, lambda one: not one.after.values["class"]), "no sensitivity class"),
        (_many(plan.new, lambda one: not one.after.values["place"]), "no usual place"),
    ]
    return [
        f"1 new object has {what}." if count == 1 else f"{count} new objects have {what}."
        for count, what in counted
        if count
    ]


def _many(planned: Sequence[Planned], holds: Any) -> int:
    return sum(1 for one in planned if holds(one))


def list_names() -> frozenset[str]:
    """Lists whose unknown words may be answered on the page."""
    return frozenset(LISTS.values())
