"""Treatment: propose, send, consent, log, deviate, report; one file a deed."""

from lifecycle.actions.treatment.calling_back import call_back_all, end_call_back
from lifecycle.actions.treatment.consenting import LeftOut, give_consent
from lifecycle.actions.treatment.deviating import decide_deviation
from lifecycle.actions.treatment.finding import (
    FoundInTreatment,
    answer_asked_again,
    record_finding,
)
from lifecycle.actions.treatment.logging import MediumTested, StepDone, log_step
from lifecycle.actions.treatment.materials import add_material, use_up_material
from lifecycle.actions.treatment.proposing import drop_proposal, next_version, open_proposal
from lifecycle.actions.treatment.reporting import (
    co_sign,
    pair_pictures,
    second_read,
    sign_report,
    start_report,
    write_report,
)
from lifecycle.actions.treatment.sending import send_version
from lifecycle.actions.treatment.standing import (
    agree_standing_consent,
    end_standing_consent,
    write_standing_consent,
)
from lifecycle.actions.treatment.testing import ResultSaid, record_result
from lifecycle.actions.treatment.weighing import CautionAnswer
from lifecycle.actions.treatment.writing import (
    MaterialDraft,
    OptionDraft,
    StepDraft,
    VersionDraft,
    write_version,
)

__all__ = [
    "CautionAnswer",
    "FoundInTreatment",
    "LeftOut",
    "MaterialDraft",
    "MediumTested",
    "OptionDraft",
    "ResultSaid",
    "StepDone",
    "StepDraft",
    "VersionDraft",
    "add_material",
    "agree_standing_consent",
    "answer_asked_again",
    "call_back_all",
    "co_sign",
    "decide_deviation",
    "drop_proposal",
    "end_call_back",
    "end_standing_consent",
    "give_consent",
    "log_step",
    "next_version",
    "open_proposal",
    "pair_pictures",
    "record_finding",
    "record_result",
    "second_read",
    "send_version",
    "sign_report",
    "start_report",
    "use_up_material",
    "write_report",
    "write_standing_consent",
    "write_version",
]
