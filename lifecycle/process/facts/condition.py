"""Condition reports as the gates see them: kind, faces, signatures, and what was answered."""

from dataclasses import dataclass
from datetime import date, datetime

from lifecycle.process.words import FeatureState, LightKind, ReportKind


@dataclass(frozen=True, slots=True, kw_only=True)
class FeatureAnswer:
    """One feature of a report that stands differently from the report compared with.

    ``answered``: the change has a dated interval and a cause, or the words 'not known'.
    ``incident_needed`` and ``has_incident``: somebody said an incident belongs to it, and it is
    there.
    """

    feature: str
    state: FeatureState
    answered: bool = False
    incident_needed: bool = False
    has_incident: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ReportFacts:
    """One condition report in its latest version."""

    uid: str
    report_no: str
    kind: ReportKind
    faces: frozenset[int]
    examined_on: date
    examined_at: datetime
    this_showing: bool = True
    signed: bool = False
    signed_by_conservator: bool = False
    countersigned_by_conservator: bool = False
    courier_signed: bool = False
    compared_with: str = ""
    """Number of the report compared with; empty when none was named."""

    none_known: bool = False
    """It is stated that no earlier report is known."""

    lights: frozenset[LightKind] = frozenset()
    compared_lights: frozenset[LightKind] = frozenset()
    photographed: bool = False
    not_answered: tuple[str, ...] = ()
    """Known features that have no line in this report yet."""

    changes: tuple[FeatureAnswer, ...] = ()
