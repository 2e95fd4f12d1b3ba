"""Case conditions sheet: what a case must keep, for those who design, build and light it."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class ObjectInCase:
    """One object as the designer needs it; no value, no lender's address."""

    object_number: str
    title: str
    exhibition: str
    days: str
    light: str
    air: str
    support: str
    hazards: str


@dataclass(frozen=True, slots=True, kw_only=True)
class OpeningWords:
    """A day on which the case is opened, for what, and which object it is about."""

    day: str
    what: str
    objects: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LampWords:
    """One lamp as it hangs, for whoever sets or changes it."""

    name: str
    where: str
    kind: str
    uv: str
    distance: str
    level: str
    aim: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseConditionsWords:
    institution: str
    place: str
    within: str
    code: str
    lux: str
    uv: str
    weeks: str
    temperature: str
    humidity: str
    change: str
    conflicts: tuple[str, ...]
    not_assessed: str
    objects: tuple[ObjectInCase, ...]
    clauses: tuple[str, ...]
    materials: tuple[str, ...]
    used: str
    openings: tuple[OpeningWords, ...]
    hazard_line: str
    hazardous: bool
    cautions: tuple[str, ...]
    lamps: tuple[LampWords, ...] = ()
