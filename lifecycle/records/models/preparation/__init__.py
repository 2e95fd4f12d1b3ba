"""Preparation: images, facsimiles, captions, mounts, cases, routes, housing."""

from lifecycle.records.models.preparation.facsimiles import (
    AfterShow,
    Caption,
    Facsimile,
    FacsimileState,
    FacsimileUse,
)
from lifecycle.records.models.preparation.housing import Board, Housing, OldHousing, OldNotes
from lifecycle.records.models.preparation.imaging import (
    ImagingFile,
    ImagingJob,
    ImagingPurpose,
    ObjectPosition,
    Target,
)
from lifecycle.records.models.preparation.lamps import Lamp, LampKind, LampWhere, UvKnownFrom
from lifecycle.records.models.preparation.mounts import (
    FITTING,
    FitCheck,
    FitResult,
    FixingStep,
    Mount,
    MountFace,
    MountMaterial,
)
from lifecycle.records.models.preparation.places import CaseReadiness, LightProof, RouteCheck

__all__ = [
    "FITTING",
    "AfterShow",
    "Board",
    "Caption",
    "CaseReadiness",
    "Facsimile",
    "FacsimileState",
    "FacsimileUse",
    "FitCheck",
    "FitResult",
    "FixingStep",
    "Housing",
    "ImagingFile",
    "ImagingJob",
    "ImagingPurpose",
    "Lamp",
    "LampKind",
    "LampWhere",
    "LightProof",
    "Mount",
    "MountFace",
    "MountMaterial",
    "ObjectPosition",
    "OldHousing",
    "OldNotes",
    "RouteCheck",
    "Target",
    "UvKnownFrom",
]
