"""From the words of a paper to its head and blocks: the order of the trade, top to bottom."""

from lifecycle.papers.sheets.cards import (
    facsimile_label_sheet,
    housing_label_sheet,
    mount_label_sheet,
    object_tag_sheet,
)
from lifecycle.papers.sheets.case_conditions import case_conditions_sheet
from lifecycle.papers.sheets.condition_report import condition_report_sheet
from lifecycle.papers.sheets.deinstall_form import deinstall_form_sheet
from lifecycle.papers.sheets.incident_report import incident_report_sheet
from lifecycle.papers.sheets.light_statement import light_statement_sheet
from lifecycle.papers.sheets.movement_slip import movement_slip_sheet
from lifecycle.papers.sheets.object_list import object_list_sheet
from lifecycle.papers.sheets.reading_sheet import reading_sheet_sheet
from lifecycle.papers.sheets.tickets import imaging_ticket_sheet, mount_ticket_sheet
from lifecycle.papers.sheets.treatment_proposal import treatment_proposal_sheet
from lifecycle.papers.sheets.treatment_report import treatment_report_sheet
from lifecycle.papers.sheets.turn_instruction import turn_instruction_sheet
from lifecycle.papers.words.blocks import SheetPlan
from lifecycle.papers.words.cards import (
    FacsimileLabelWords,
    HousingLabelWords,
    MountLabelWords,
    ObjectTagWords,
)
from lifecycle.papers.words.case_conditions import CaseConditionsWords
from lifecycle.papers.words.condition_report import ConditionReportWords
from lifecycle.papers.words.deinstall_form import DeinstallFormWords
from lifecycle.papers.words.incident_report import IncidentReportWords
from lifecycle.papers.words.light_statement import LightStatementWords
from lifecycle.papers.words.movement_slip import MovementSlipWords
from lifecycle.papers.words.object_list import ObjectListWords
from lifecycle.papers.words.reading_sheet import ReadingSheetWords
from lifecycle.papers.words.tickets import ImagingTicketWords, MountTicketWords
from lifecycle.papers.words.treatment_proposal import TreatmentProposalWords
from lifecycle.papers.words.treatment_report import TreatmentReportWords
from lifecycle.papers.words.turn_instruction import TurnInstructionWords

PaperWords = (
    CaseConditionsWords
    | ConditionReportWords
    | DeinstallFormWords
    | FacsimileLabelWords
    | HousingLabelWords
    | IncidentReportWords
    | LightStatementWords
    | MountLabelWords
    | ImagingTicketWords
    | MountTicketWords
    | MovementSlipWords
    | ObjectListWords
    | ObjectTagWords
    | ReadingSheetWords
    | TreatmentProposalWords
    | TreatmentReportWords
    | TurnInstructionWords
)

#: Which words belong to which paper; the keys are the values of `PaperKind`.
WORDS: dict[str, type[PaperWords]] = {
    "case_conditions": CaseConditionsWords,
    "condition_report": ConditionReportWords,
    "deinstall_form": DeinstallFormWords,
    "facsimile_label": FacsimileLabelWords,
    "housing_label": HousingLabelWords,
    "incident_report": IncidentReportWords,
    "light_statement": LightStatementWords,
    "mount_label": MountLabelWords,
    "imaging_ticket": ImagingTicketWords,
    "mount_ticket": MountTicketWords,
    "movement_slip": MovementSlipWords,
    "object_list": ObjectListWords,
    "object_tag": ObjectTagWords,
    "reading_sheet": ReadingSheetWords,
    "treatment_proposal": TreatmentProposalWords,
    "treatment_report": TreatmentReportWords,
    "turn_instruction": TurnInstructionWords,
}


def sheet_of(words: PaperWords) -> SheetPlan:
    """The plan of a paper from its words."""
    match words:
        case CaseConditionsWords():
            return case_conditions_sheet(words)
        case LightStatementWords():
            return light_statement_sheet(words)
        case ReadingSheetWords():
            return reading_sheet_sheet(words)
        case ConditionReportWords():
            return condition_report_sheet(words)
        case DeinstallFormWords():
            return deinstall_form_sheet(words)
        case FacsimileLabelWords():
            return facsimile_label_sheet(words)
        case HousingLabelWords():
            return housing_label_sheet(words)
        case MountLabelWords():
            return mount_label_sheet(words)
        case ObjectTagWords():
            return object_tag_sheet(words)
        case ImagingTicketWords():
            return imaging_ticket_sheet(words)
        case MountTicketWords():
            return mount_ticket_sheet(words)
        case IncidentReportWords():
            return incident_report_sheet(words)
        case MovementSlipWords():
            return movement_slip_sheet(words)
        case ObjectListWords():
            return object_list_sheet(words)
        case TreatmentProposalWords():
            return treatment_proposal_sheet(words)
        case TreatmentReportWords():
            return treatment_report_sheet(words)
        case TurnInstructionWords():
            return turn_instruction_sheet(words)
