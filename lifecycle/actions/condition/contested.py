"""What two people wrote into one part of a report, in words, field by field: nothing is lost."""

from collections.abc import Iterable
from datetime import date, datetime
from decimal import Decimal
from enum import IntEnum, StrEnum
from typing import Any, Final

from lifecycle.process.words import (
    Activity,
    Certainty,
    CompareResult,
    FeatureState,
    Fit,
    Grade,
    Layer,
    LightKind,
    SeenAs,
    Severity,
    Stability,
)
from lifecycle.queries.signed_text.lines import day_in_words, moment_in_words
from lifecycle.records.models.condition import LightUsed
from lifecycle.records.models.condition.words import TreatmentNeed, Zone

#: The closed list of each field of a report that has one.
CLOSED: Final[dict[str, type[Any]]] = {
    "certainty": Certainty,
    "seen_as": SeenAs,
    "grade": Grade,
    "stability": Stability,
    "result": CompareResult,
    "fit_display": Fit,
    "fit_travel": Fit,
    "fit_handling": Fit,
    "treatment_needed": TreatmentNeed,
    "state": FeatureState,
    "layer": Layer,
    "zone": Zone,
    "severity": Severity,
    "activity": Activity,
}
_LABELS: Final = {
    "certainty": "How well the time is known",
    "examined_until": "Until",
    "examiners": "Examined by",
    "present": "Also present",
    "light_there": "Light in the room",
    "light_there_note": "Note on that light",
    "requested_by": "Asked for by",
    "components_note": "What is missing",
    "none_known": "No earlier report is known, because",
    "result": "Against the earlier report",
    "state": "Against the earlier report",
    "grade": "Overall grade",
    "fit_limits": "Limits",
    "length_mm": "Length [mm]",
    "width_mm": "Width [mm]",
    "count": "How many",
}


def told_apart(
    names: Iterable[str], theirs: object, mine: object
) -> tuple[dict[str, str], dict[str, str]]:
    """Return, label to words, the named attributes in which two things differ."""
    stored, typed = {}, {}
    for name in names:
        one, other = _said(name, getattr(theirs, name)), _said(name, getattr(mine, name))
        if one != other:
            label = _LABELS.get(name, name.replace("_", " ").capitalize())
            stored[label], typed[label] = one, other
    return stored, typed


def _said(name: str, value: Any) -> str:
    if value is None or value == "":
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if (words := CLOSED.get(name)) is not None:
        word: StrEnum | IntEnum = words(value)
        return str(getattr(word, "label", word))
    if isinstance(value, datetime):
        return moment_in_words(value)
    if isinstance(value, date):
        return day_in_words(value)
    if isinstance(value, LightUsed):
        return f"{value.number}. {LightKind(value.light).label}"
    if isinstance(value, Decimal):
        return f"{value.normalize():f}"
    if isinstance(value, list | tuple):
        return "; ".join(sorted(str(one) for one in value))
    return str(value)
