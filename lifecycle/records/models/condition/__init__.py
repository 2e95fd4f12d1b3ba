"""Condition: reports, features, observations, the two looks after display."""

from lifecycle.records.models.condition.deinstall import (
    AsFound,
    BenchCheck,
    ChangeVerdict,
    RecommendationAnswer,
)
from lifecycle.records.models.condition.findings import Feature, Observation
from lifecycle.records.models.condition.ink import InkRating, InkSignOff, InkTest
from lifecycle.records.models.condition.reports import (
    ConditionReport,
    LightUsed,
    NotSeen,
    Recommendation,
    ReportFace,
    ReportSection,
)
from lifecycle.records.models.condition.unsigned import LeftUnsigned

__all__ = [
    "AsFound",
    "BenchCheck",
    "ChangeVerdict",
    "ConditionReport",
    "Feature",
    "InkRating",
    "InkSignOff",
    "InkTest",
    "LeftUnsigned",
    "LightUsed",
    "NotSeen",
    "Observation",
    "Recommendation",
    "RecommendationAnswer",
    "ReportFace",
    "ReportSection",
]
