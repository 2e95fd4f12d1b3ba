"""The story of a showing: its line of stages with days, its journal with what was struck."""

from dataclasses import dataclass
from datetime import datetime
from typing import Final

from lifecycle.process.moves import MOVES
from lifecycle.process.stages import CLOSED, LINE, Stage
from lifecycle.records.models import JournalEntry, Showing, Waiver

ANCHORS: Final = {
    Stage.SELECTION: "request",
    Stage.EXAMINATION: "condition",
    Stage.TREATMENT: "treatment",
    Stage.MOUNTING: "preparation",
    Stage.READY: "preparation",
    Stage.ON_DISPLAY: "display",
    Stage.ROTATION: "display",
    Stage.DEINSTALL_CHECK: "condition",
    Stage.REHOUSING: "preparation",
    Stage.RETURNED: "movements",
    Stage.DECLINED: "request",
    Stage.WITHDRAWN: "request",
}
"""What was recorded at a stage stands under this heading of the page."""


@dataclass(frozen=True, slots=True)
class StageStep:
    """One word of the line of stages; ``state`` is past, here or ahead."""

    label: str
    state: str
    on: datetime | None
    href: str


@dataclass(frozen=True, slots=True)
class Told:
    """One journal row in words; ``struck`` names who struck it and why."""

    entry: JournalEntry
    said: str
    struck: str
    waived: tuple[str, ...]
    evidence: tuple[tuple[str, tuple[str, ...]], ...]
    is_last: bool


def journal_of(showing: Showing) -> list[JournalEntry]:
    """Return every move made, struck ones too, in order; one query."""
    return list(
        JournalEntry.objects.filter(showing=showing)
        .select_related("by", "second", "struck__by")
        .order_by("pk")
    )


def _struck(entry: JournalEntry) -> bool:
    return hasattr(entry, "struck")


def replay(entries: list[JournalEntry]) -> Stage | None:
    """Return the stage the journal tells, struck rows left out; None where none was ever made.

    A showing whose first move was struck is off the list.
    """
    live = [entry for entry in entries if not _struck(entry)]
    if live:
        return Stage(live[-1].to_stage)
    return Stage.WITHDRAWN if entries else None


def line_of_stages(showing: Showing, entries: list[JournalEntry]) -> list[StageStep]:
    """Return the line as words in order, each with the day it was reached last."""
    here = Stage(showing.stage)
    reached = {Stage(e.to_stage): e.at for e in entries if not _struck(e)}
    line = list(LINE)
    if here is Stage.ROTATION:
        line.insert(line.index(Stage.ON_DISPLAY) + 1, Stage.ROTATION)
    if here in CLOSED and here is not Stage.RETURNED:
        line = [stage for stage in line if stage in reached] + [here]
    steps = []
    passed = True
    for stage in line:
        state = "here" if stage is here else "past" if passed and stage in reached else "ahead"
        passed = passed and stage is not here
        on = reached.get(stage) if state != "ahead" else None
        steps.append(StageStep(stage.label, state, on, f"#{ANCHORS[stage]}" if on else ""))
    return steps


def told(entries: list[JournalEntry]) -> list[Told]:
    """Return the journal in words, youngest first."""
    live = [entry.pk for entry in entries if not _struck(entry)]
    last = live[-1] if live else None
    return [
        Told(
            entry=entry,
            said=MOVES[entry.move].done if entry.move in MOVES else entry.move,
            struck=(
                f"Struck by {entry.struck.by.full_name}: {entry.struck.reason}"
                if _struck(entry)
                else ""
            ),
            waived=tuple(f"{w['text']} Waived by {w['by']}: {w['reason']}" for w in entry.waivers),
            evidence=tuple((kind, tuple(refs)) for kind, refs in entry.evidence.items()),
            is_last=entry.pk == last,
        )
        for entry in reversed(entries)
    ]


def waivers_of(showing: Showing) -> list[Waiver]:
    """Return the waivers in force or past their day and not ended; one query."""
    return list(
        Waiver.objects.filter(showing=showing, ended_at=None).select_related("by").order_by("pk")
    )
