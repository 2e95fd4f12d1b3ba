"""Who may print a paper, and who may say what became of it."""

from collections.abc import Iterable
from datetime import datetime

from lifecycle.actions.refusals import NotAllowed
from lifecycle.process.rights import Deed, SubjectFacts, may
from lifecycle.process.stages import Role
from lifecycle.queries.papers_out import subjects_of
from lifecycle.queries.rights import person_facts
from lifecycle.records.models import PaperKind, Person

#: One of these deeds about every object of the paper is enough.
TO_PRINT: dict[PaperKind, tuple[Deed, ...]] = {
    PaperKind.CONDITION_REPORT: (Deed.EXAMINE, Deed.COUNTERSIGN, Deed.REGISTER, Deed.PART_A),
    PaperKind.DEINSTALL_FORM: (Deed.EXAMINE, Deed.PART_A, Deed.REGISTER),
    PaperKind.MOVEMENT_SLIP: (Deed.HANDLE, Deed.REGISTER),
    PaperKind.TURN_INSTRUCTION: (Deed.HANDLE, Deed.SCHEDULE),
    PaperKind.OBJECT_LIST: (Deed.REGISTER, Deed.CHOOSE, Deed.SCHEDULE, Deed.EXAMINE),
}
TO_READ_BACK = (Deed.HANDLE, Deed.REGISTER, Deed.EXAMINE, Deed.PART_A)


def allow_one_of(
    *,
    by: Person,
    role: Role,
    deeds: Iterable[Deed],
    at: datetime,
    objects: Iterable[tuple[int, int | None]],
    what: str,
) -> None:
    """Return quietly if `role` carries one of the deeds about every object.

    :param objects: row ids of (object, showing)
    :raises NotAllowed: otherwise, with a sentence
    """
    facts = person_facts(by, at)
    about = subjects_of(objects) or [SubjectFacts()]
    if not any(all(may(facts, deed, one, role) for one in about) for deed in deeds):
        raise NotAllowed(
            f"{by.full_name} may not {what} as {role.label}: ask a conservator or the registrar."
        )
