"""Take, save and give back one section of a report.

Two sections go together; in one, nobody overwrites the other. Taking a section locks nobody out: it
tells the others who has it open, and signing waits until it is saved or given back.
"""

from datetime import datetime
from typing import Final

from django.db import transaction

from lifecycle.actions.condition.draft import open_draft
from lifecycle.actions.refusals import Conflict
from lifecycle.process.stages import Role
from lifecycle.records.models.condition import ConditionReport, ReportSection
from lifecycle.records.models.condition.words import SectionName
from lifecycle.records.models.people import Person

OBSERVED: Final = "What is there"
MEANT: Final = "What it means"


@transaction.atomic
def save_section(
    *,
    report: ConditionReport,
    name: SectionName,
    observed: str,
    interpretation: str,
    revision: int,
    by: Person,
    role: Role,
    at: datetime,
) -> ReportSection:
    """Save what is there and what it means, apart. ``revision`` is the one the writer began from.

    :raises Conflict: if somebody saved this section meanwhile; both texts come back
    """
    kept = open_draft(report, by=by, role=role, at=at)
    section = ReportSection.objects.filter(report=kept, name=name).first()
    stored = section.revision if section is not None else 0
    if revision != stored:
        mine = {OBSERVED: observed, MEANT: interpretation}
        theirs, writer = {OBSERVED: "", MEANT: ""}, "nobody"
        if section is not None:
            theirs = {OBSERVED: section.observed, MEANT: section.interpretation}
            writer = section.written_by.full_name
        text = (
            f"{writer} saved the section “{name.label}” of {kept} while you were writing. "
            "Both texts stand below: bring them together and save again."
        )
        raise Conflict(text, theirs=theirs, mine=mine, by=writer, version=stored)
    if section is None:
        section = ReportSection(report=kept, name=name, revision=0)
    if section.taken_by_id == by.pk:
        section.taken_by = section.taken_at = None
    section.observed, section.interpretation = observed, interpretation
    section.revision += 1
    section.written_by, section.written_at = by, at
    return section.keep(by=by, role=role, why=f"section {name.label} written", at=at)


@transaction.atomic
def take_section(
    *, report: ConditionReport, name: SectionName, by: Person, role: Role, at: datetime
) -> ReportSection:
    """Say that ``by`` has this section open to write; whoever had it before keeps it.

    :raises Refused: if the report is signed or struck
    """
    kept = open_draft(report, by=by, role=role, at=at)
    section = ReportSection.objects.filter(report=kept, name=name).first()
    if section is None:
        section = ReportSection(report=kept, name=name, revision=0, written_by=by, written_at=at)
    if section.taken_by_id is not None:
        return section
    section.taken_by, section.taken_at = by, at
    return section.keep(by=by, role=role, why=f"section {name.label} taken", at=at)


@transaction.atomic
def give_back_section(
    *, report: ConditionReport, name: SectionName, by: Person, role: Role, at: datetime
) -> None:
    """Let go of a section without saving; a colleague may do it for somebody who has gone home.

    :raises Refused: if the report is signed or struck
    """
    kept = open_draft(report, by=by, role=role, at=at)
    section = ReportSection.objects.filter(report=kept, name=name).first()
    if section is None or section.taken_by is None:
        return
    why = f"section {name.label} given back, it was taken by {section.taken_by}"
    section.taken_by = section.taken_at = None
    section.keep(by=by, role=role, why=why, at=at)
