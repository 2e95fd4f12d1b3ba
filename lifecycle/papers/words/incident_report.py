"""Incident report: what was found, made safe, told and said, with what was known before."""

from dataclasses import dataclass

from lifecycle.papers.words.parts import BlockO, DatedLine


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundObject:
    """One object of the incident: when it was last seen unchanged, and its last signed report."""

    about: BlockO
    last_seen: str
    last_report: str


@dataclass(frozen=True, slots=True, kw_only=True)
class IncidentReportWords:
    institution: str
    incident_no: str
    kind: str
    place: str
    found_at: str
    found_by: str
    happened: str
    seen: str
    objects: tuple[FoundObject, ...]
    readings: tuple[DatedLine, ...]
    made_safe: str
    told: tuple[DatedLine, ...]
    tell: tuple[str, ...]
    statements: tuple[DatedLine, ...]
    outcome: tuple[tuple[str, str], ...]
    closed: str
    cautions: tuple[str, ...]
