"""The stages of a showing in order, and the roles that move it. Pure: no Django, no clock."""

from enum import StrEnum
from typing import Final


class Stage(StrEnum):
    """Where one object stands on its trip for one exhibition; it has exactly one stage."""

    SELECTION = "selection"
    EXAMINATION = "examination"
    TREATMENT = "treatment"
    MOUNTING = "mounting"
    READY = "ready"
    ON_DISPLAY = "on_display"
    ROTATION = "rotation"
    DEINSTALL_CHECK = "deinstall_check"
    REHOUSING = "rehousing"
    RETURNED = "returned"
    DECLINED = "declined"
    WITHDRAWN = "withdrawn"

    @property
    def label(self) -> str:
        return _STAGE_LABELS[self]


_STAGE_LABELS: Final = {
    Stage.SELECTION: "selection",
    Stage.EXAMINATION: "examination",
    Stage.TREATMENT: "treatment",
    Stage.MOUNTING: "mounting",
    Stage.READY: "ready",
    Stage.ON_DISPLAY: "on display",
    Stage.ROTATION: "rotation",
    Stage.DEINSTALL_CHECK: "de-install check",
    Stage.REHOUSING: "rehousing",
    Stage.RETURNED: "returned",
    Stage.DECLINED: "declined",
    Stage.WITHDRAWN: "withdrawn",
}

CLOSED: Final = frozenset({Stage.RETURNED, Stage.DECLINED, Stage.WITHDRAWN})
PAST_SELECTION: Final = frozenset(set(Stage) - CLOSED - {Stage.SELECTION})
BEFORE_DISPLAY: Final = frozenset(
    {Stage.SELECTION, Stage.EXAMINATION, Stage.TREATMENT, Stage.MOUNTING, Stage.READY}
)
LINE: Final = (
    Stage.SELECTION,
    Stage.EXAMINATION,
    Stage.TREATMENT,
    Stage.MOUNTING,
    Stage.READY,
    Stage.ON_DISPLAY,
    Stage.DEINSTALL_CHECK,
    Stage.REHOUSING,
    Stage.RETURNED,
)


class Role(StrEnum):
    """In which capacity a person acts; a signature names the role in which it was given."""

    CONSERVATOR = "conservator"
    CURATOR = "curator"
    REGISTRAR = "registrar"
    MOUNT_MAKER = "mount_maker"
    PHOTOGRAPHER = "photographer"
    TECHNICIAN = "technician"
    ATTENDANT = "attendant"
    EXHIBITION_MANAGER = "exhibition_manager"
    HEAD_OF_COLLECTIONS = "head_of_collections"
    STEWARD = "steward"
    COURIER = "courier"
    LENDER = "lender"

    @property
    def label(self) -> str:
        return self.value.replace("_", " ")
