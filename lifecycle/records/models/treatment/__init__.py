"""Treatment: materials, proposals, consents, steps, reports."""

from lifecycle.records.models.treatment.consents import (
    AGREED,
    CONSENTING,
    Consent,
    ConsentExclusion,
    Decision,
    StandingConsent,
    StandingConsentStep,
)
from lifecycle.records.models.treatment.materials import (
    BRINGS_MOISTURE,
    Material,
    MaterialKind,
    MaterialTest,
)
from lifecycle.records.models.treatment.proposals import (
    Aim,
    PlannedStep,
    Proposal,
    ProposalMaterial,
    ProposalOption,
    ProposalVersion,
    RemovedMatter,
    Undo,
)
from lifecycle.records.models.treatment.reports import FacePictures, TreatmentReport
from lifecycle.records.models.treatment.steps import DeviationConsent, StepPicture, TreatmentStep

__all__ = [
    "AGREED",
    "BRINGS_MOISTURE",
    "CONSENTING",
    "Aim",
    "Consent",
    "ConsentExclusion",
    "Decision",
    "DeviationConsent",
    "FacePictures",
    "Material",
    "MaterialKind",
    "MaterialTest",
    "PlannedStep",
    "Proposal",
    "ProposalMaterial",
    "ProposalOption",
    "ProposalVersion",
    "RemovedMatter",
    "StandingConsent",
    "StandingConsentStep",
    "StepPicture",
    "TreatmentReport",
    "TreatmentStep",
    "Undo",
]
