"""Treatment: materials, proposals, consents, steps, reports."""

from lifecycle.records.models.treatment.cautions import (
    MOVED,
    CautionRule,
    MediumTest,
    SpotLiquid,
    SpotOutcome,
    StepCaution,
    VersionCaution,
)
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
    ProposalPicture,
    ProposalVersion,
    RemovedMatter,
    Undo,
)
from lifecycle.records.models.treatment.reports import FacePictures, TreatmentReport
from lifecycle.records.models.treatment.sequences import StepSequence, StepSequenceLine
from lifecycle.records.models.treatment.steps import DeviationConsent, StepPicture, TreatmentStep

__all__ = [
    "AGREED",
    "BRINGS_MOISTURE",
    "CONSENTING",
    "MOVED",
    "Aim",
    "CautionRule",
    "Consent",
    "ConsentExclusion",
    "Decision",
    "DeviationConsent",
    "FacePictures",
    "Material",
    "MaterialKind",
    "MaterialTest",
    "MediumTest",
    "PlannedStep",
    "Proposal",
    "ProposalMaterial",
    "ProposalOption",
    "ProposalPicture",
    "ProposalVersion",
    "RemovedMatter",
    "SpotLiquid",
    "SpotOutcome",
    "StandingConsent",
    "StandingConsentStep",
    "StepCaution",
    "StepPicture",
    "StepSequence",
    "StepSequenceLine",
    "TreatmentReport",
    "TreatmentStep",
    "Undo",
    "VersionCaution",
]
