"""Every kind of record and how a package tells it: on a page of its own, inside another, in a list.

A new table is taken in by itself: it is told inside the record that it belongs to, or, belonging
to none, on a page of its own. What is left out stands here by name, each with its reason.
"""

from dataclasses import dataclass
from functools import cache
from typing import Any, Final

from django.apps import apps
from django.db import models

from lifecycle.records.base import AppendOnly, Kept

Model = type[models.Model]

#: Tables that no package holds.
NOT_PACKED: Final = {
    "Account": "Sign-in only: holds password hashes. What a person did points to the person.",
    "Counter": "Only the last number that was given out; each number stands on its record.",
    "Work": "Background work of the machine; what it did stands in the records it wrote.",
    "Letter": "Mails that repeat what the records said that morning.",
    "PutBy": "What somebody laid aside on their own first page; the tasks follow the records.",
    "Message": "Mails that repeat what the records said.",
    "Heartbeat": "Signs of life of the machine.",
}

#: Tables that only a package of the whole museum holds.
WHOLE_MUSEUM_ONLY: Final = {
    "RoleAssignment": "Who held which post when; each signature names the role it was given in.",
    "DeputyTerm": "Who stood in for whom; a consent names the person it was given for.",
    "GuestPass": "Passes name objects of one lender side by side.",
    "CautionRule": "Rules of the house; what was warned of stands with each step and version.",
    "PlacePlan": "A whole gallery; each reading names its point and where that lies.",
    "PlanSpot": "Where the points lie on a whole gallery's plan.",
    "StepSequence": "Sequences a laboratory logs in one go; what was done stands in its steps.",
}

#: Each on a page of its own, in a folder of this name.
PAGES: Final = {
    "MuseumObject": "objects",
    "Showing": "showings",
    "Exhibition": "exhibitions",
    "ConditionReport": "condition-reports",
    "Assessment": "display-assessments",
    "InstallCheck": "install-checks",
    "TurnRecord": "turn-records",
    "TakeDown": "take-downs",
    "Appointment": "appointments",
    "Proposal": "treatment-proposals",
    "ProposalVersion": "treatment-proposal-versions",
    "TreatmentReport": "treatment-reports",
    "StandingConsent": "standing-consents",
    "Mount": "mounts",
    "Housing": "housings",
    "Facsimile": "facsimiles",
    "ImagingJob": "imaging-jobs",
    "Movement": "movements",
    "Loan": "loans",
    "Incident": "incidents",
    "Print": "papers-printed",
    "Place": "places",
    "LitTimetable": "lit-timetables",
    "HouseRules": "house-rules",
}

#: Told together, one list for the whole kind.
LISTS: Final = frozenset(
    {
        "Person", "Organisation", "Museum", "Word", "SensitivityClass", "Instrument", "Material",
        "CautionRule", "StepSequence", "MaterialResult",
        "Picture", "Document", "Signature", "RoleAssignment", "DeputyTerm", "GuestPass",
    }
)  # fmt: skip

#: Told inside other records than their first: names of foreign keys.
INSIDE: Final = {
    "Requirement": ("loan", "showing"),
    "GateSwitch": ("house_rules", "exhibition"),
    "PassOn": ("from_showing", "to_showing"),
    "TreatmentStep": ("museum_object", "proposal"),
    "TreatmentFinding": ("museum_object",),
    "LightReading": ("place",),
    "LightLog": ("place",),
    "DisplayPeriod": ("showing", "museum_object"),
    "RemovalCard": ("movement",),
    "RequestAnswer": ("showing",),
    "LightProof": ("place",),
    "Look": ("museum_object",),
}

#: What one, and what several, are called where the table's own name would not do.
CALLED: Final = {
    "AsFound": ("state as found", "states as found"),
    "AskedAgain": ("question asked again", "questions asked again"),
    "AskedAgainAnswer": ("answer to a question asked again", "answers to questions asked again"),
    "Account": ("sign-in account", "sign-in accounts"),
    "CallBack": ("call-back", "call-backs"),
    "CautionRule": ("caution at the bench", "cautions at the bench"),
    "CaseReadiness": ("readiness of a case", "readiness of cases"),
    "FaceWanted": ("face wanted", "faces wanted"),
    "FacePictures": ("pair of pictures", "pairs of pictures"),
    "GateDays": ("days of a gate", "days of gates"),
    "GateSwitch": ("gate taken or left out", "gates taken or left out"),
    "HouseRules": ("house rules", "house rules"),
    "IncidentTold": ("telling of an incident", "tellings of an incident"),
    "LightEntry": ("light account entry", "light account entries"),
    "LightLogTakenBack": ("light log taken back", "light logs taken back"),
    "LightUsed": ("light used", "lights used"),
    "MaterialResult": ("test of a material", "tests of materials"),
    "NotSeen": ("part not seen", "parts not seen"),
    "Person": ("person", "people"),
    "PutBy": ("task put by", "tasks put by"),
    "Work": ("piece of background work", "pieces of background work"),
}


def called(model: Model) -> tuple[str, str]:
    """Return what one, and what several, rows of a table are called."""
    if model.__name__ in CALLED:
        return CALLED[model.__name__]
    one = str(model._meta.verbose_name)
    if one.endswith("y") and one[-2] not in "aeiou":
        return one, f"{one[:-1]}ies"
    return one, f"{one}es" if one.endswith(("s", "x", "ch")) else f"{one}s"


@dataclass(frozen=True, slots=True, kw_only=True)
class KindOfRecord:
    """One table: ``folder`` for kinds with pages of their own, ``inside`` for parts of others."""

    model: Model
    folder: str
    inside: tuple[str, ...]

    @property
    def name(self) -> str:
        """The name of the kind in file names: ``light-reading``."""
        return "-".join(self.singular.split())

    @property
    def singular(self) -> str:
        return called(self.model)[0]

    @property
    def plural(self) -> str:
        return called(self.model)[1]

    @property
    def in_list(self) -> bool:
        return not self.folder and not self.inside

    def rows(self) -> "models.QuerySet[Any]":
        return self.model._default_manager.all()


def record_models() -> list[Model]:
    """Return every table that people's records stand in, without history and join tables."""
    found = apps.get_app_config("records").get_models()
    return [model for model in found if not model.__name__.startswith("Historical")]


@cache
def kinds() -> tuple[KindOfRecord, ...]:
    """Return every kind that a package may hold, in the order of their names."""
    packed = [
        model
        for model in record_models()
        if model.__name__ not in NOT_PACKED and issubclass(model, Kept | AppendOnly)
    ]
    return tuple(sorted((_kind(model) for model in packed), key=lambda kind: kind.name))


def _kind(model: Model) -> KindOfRecord:
    name = model.__name__
    if name in PAGES:
        return KindOfRecord(model=model, folder=PAGES[name], inside=())
    if name in LISTS:
        return KindOfRecord(model=model, folder="", inside=())
    inside = INSIDE.get(name) or _first_owner(model)
    folder = "" if inside else "-".join(called(model)[1].split())
    return KindOfRecord(model=model, folder=folder, inside=inside)


def _first_owner(model: Model) -> tuple[str, ...]:
    """The first foreign key that is always set and that its target knows of by a name."""
    for field in model._meta.fields:
        if not isinstance(field, models.ForeignKey) or field.null:
            continue
        target = field.related_model
        named = field.remote_field.related_name not in (None, "+")
        if named and isinstance(target, type) and target.__name__ not in {*LISTS, *NOT_PACKED}:
            return (field.name,)
    return ()


@cache
def kind_of(model: Model) -> KindOfRecord:
    """Return the kind of a table. Errors: LookupError for one that no package holds."""
    for kind in kinds():
        if kind.model is model:
            return kind
    raise LookupError(f"{model.__name__} is in no package.")


@cache
def parts_of(model: Model) -> tuple[tuple[KindOfRecord, str], ...]:
    """Return the kinds told inside this one, each with its foreign key, by name."""
    return tuple(
        (kind, name)
        for kind in kinds()
        for name in kind.inside
        if kind.model._meta.get_field(name).related_model is model
    )
