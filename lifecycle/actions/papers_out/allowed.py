"""Who may print a paper, and who may say what became of it."""

from collections.abc import Iterable, Sequence
from datetime import datetime

from lifecycle.actions.refusals import NotAllowed
from lifecycle.process.rights import Deed, SubjectFacts, may
from lifecycle.process.stages import Role
from lifecycle.queries.papers_out import subjects_of
from lifecycle.queries.rights import about_light_at, person_facts
from lifecycle.records.models import PaperKind, Person, Place

#: One of these deeds about every object of the paper is enough.
TO_PRINT: dict[PaperKind, tuple[Deed, ...]] = {
    PaperKind.CONDITION_REPORT: (Deed.EXAMINE, Deed.COUNTERSIGN, Deed.REGISTER, Deed.PART_A),
    PaperKind.DEINSTALL_FORM: (Deed.EXAMINE, Deed.PART_A, Deed.REGISTER),
    PaperKind.MOVEMENT_SLIP: (Deed.HANDLE, Deed.REGISTER),
    PaperKind.TURN_INSTRUCTION: (Deed.HANDLE, Deed.SCHEDULE),
    PaperKind.INCIDENT_REPORT: (Deed.REPORT_EVENT,),
    PaperKind.TREATMENT_PROPOSAL: (Deed.TREAT, Deed.CONSENT, Deed.REGISTER),
    PaperKind.OBJECT_LIST: (Deed.REGISTER, Deed.CHOOSE, Deed.SCHEDULE, Deed.EXAMINE),
    PaperKind.LIGHT_STATEMENT: (Deed.EXAMINE, Deed.REGISTER),
    PaperKind.READING_SHEET: (Deed.READ_LIGHT, Deed.EXAMINE, Deed.REGISTER),
    PaperKind.CASE_CONDITIONS: (Deed.EXAMINE, Deed.REGISTER, Deed.SCHEDULE, Deed.PREPARE),
    PaperKind.OBJECT_TAG: (Deed.HANDLE, Deed.REGISTER, Deed.EXAMINE),
    PaperKind.HOUSING_LABEL: (Deed.PREPARE, Deed.HANDLE, Deed.REGISTER),
    PaperKind.MOUNT_LABEL: (Deed.PREPARE, Deed.HANDLE),
    PaperKind.FACSIMILE_LABEL: (Deed.PREPARE, Deed.CHOOSE),
    PaperKind.MOUNT_TICKET: (Deed.PREPARE, Deed.CHOOSE, Deed.HANDLE),
    PaperKind.IMAGING_TICKET: (Deed.PREPARE, Deed.CHOOSE, Deed.HANDLE),
    PaperKind.TREATMENT_REPORT: (Deed.EXAMINE, Deed.REGISTER),
}
TO_READ_BACK = (Deed.HANDLE, Deed.REGISTER, Deed.EXAMINE, Deed.PART_A)


def subjects_of_paper(
    kind: PaperKind, place: Place | None, objects: Iterable[tuple[int, int | None]]
) -> list[SubjectFacts]:
    """What printing a paper is about: the place of a reading sheet, else each of its objects."""
    if kind is PaperKind.READING_SHEET and place is not None:
        return [about_light_at(place)]
    return subjects_of(objects)


def allow_one_of(
    *,
    by: Person,
    role: Role,
    deeds: Iterable[Deed],
    at: datetime,
    objects: Iterable[tuple[int, int | None]] = (),
    what: str,
    subjects: Sequence[SubjectFacts] = (),
) -> None:
    """Return quietly if `role` carries one of the deeds about every object.

    :param objects: row ids of (object, showing)
    :param subjects: what it is about where that is not its objects
    :raises NotAllowed: otherwise, with a sentence
    """
    facts = person_facts(by, at)
    about = list(subjects) or subjects_of(objects) or [SubjectFacts()]
    if not any(all(may(facts, deed, one, role) for one in about) for deed in deeds):
        raise NotAllowed(
            f"{by.full_name} may not {what} as {role.label}: ask a conservator or the registrar."
        )
