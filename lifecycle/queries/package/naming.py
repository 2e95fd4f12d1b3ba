"""How a record is called when another names it: full names, numbers, never a bare row number."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Final
from uuid import UUID

from lifecycle.queries.package.kinds import Model, called, kind_of
from lifecycle.queries.package.names import described, safe_name
from lifecycle.queries.pictures import SUFFIXES
from lifecycle.records.models import Document, Picture, SensitivityClass, Vocabulary, Word

#: A sentence part and the columns that fill it, for every table that others point to.
CALLED: Final[Mapping[str, tuple[str, tuple[str, ...]]]] = {
    "Appointment": ("appointment {0}", ("appointment_no",)),
    "AskedAgain": ("{0} asked again after F{1} of {2}", (
        "subject_no", "finding__feature__number", "finding__museum_object__object_number")),
    "Assessment": ("assessment for {0}, version {1}", ("showing__request_no", "version")),
    "CautionRule": ("caution on {0} and {1}", ("trait", "brings")),
    "ColourMeasurement": ("colour of C{1} of {0}, {2:%Y-%m-%d}", (
        "spot__museum_object__object_number", "spot__number", "measured_at")),
    "ColourSpot": ("colour spot C{1} of {0}", ("museum_object__object_number", "number")),
    "Component": ("{0}", ("label",)),
    "ConditionReport": ("condition report {0}, version {1}", ("report_no", "version")),
    "Consent": ("decision of {0} on {1}", ("person__full_name", "version__proposal__proposal_no")),
    "DeputyTerm": ("{0} standing in for {1}", ("deputy__full_name", "for_person__full_name")),
    "DisplayPeriod": ("{0}, {1}, shown in {2}", (
        "museum_object__object_number", "face__label", "place__name")),
    "Document": ("{0}", ("title",)),
    "Exhibition": ("{0}", ("title",)),
    "RequestList": ("list of requests of {1:%Y-%m-%d %H:%M} UTC for {0}", (
        "exhibition__title", "at")),
    "Face": ("{1} of {0}", ("museum_object__object_number", "label")),
    "Facsimile": ("facsimile {0}", ("facsimile_no",)),
    "Feature": ("F{1} of {0}", ("museum_object__object_number", "number")),
    "HouseRules": ("house rules, version {0}", ("version",)),
    "FitCheck": ("fit check of mount {0}, {1}", ("mount__mount_no", "face__label")),
    "Housing": ("housing {0}", ("housing_no",)),
    "ImagingJob": ("imaging job {0}", ("job_no",)),
    "Incident": ("incident {0}", ("incident_no",)),
    "InstallCheck": ("install check {0} for {1}", ("code", "showing__request_no")),
    "InkRating": ("inked area {1} of {0}", ("report__report_no", "number")),
    "Instrument": ("{0}, serial number {1}", ("name", "serial")),
    "JournalEntry": ("move of {0} on {1:%Y-%m-%d}", ("showing__request_no", "at")),
    "LightEntry": ("light of {0}, {1}, from {2:%Y-%m-%d}", (
        "face__museum_object__object_number", "face__label", "from_at")),
    "LightLog": ("light log {0} of {1:%Y-%m-%d %H:%M} UTC in {2}", (
        "file_name", "from_at", "place__name")),
    "LightReading": ("reading of {0:%Y-%m-%d %H:%M} UTC in {1}", ("read_at", "place__name")),
    "LightUsed": ("light {1} of {0}", ("report__report_no", "number")),
    "LitTimetable": ("{0}", ("name",)),
    "Loan": ("loan {0}", ("agreement_no",)),
    "Look": ("look of {0:%Y-%m-%d} at {1}", ("looked_at", "museum_object__object_number")),
    "Material": ("{0}, {1}, batch {2}", ("name", "grade", "batch")),
    "Mount": ("mount {0}", ("mount_no",)),
    "Movement": ("movement {0}", ("movement_no",)),
    "Museum": ("{0}", ("name",)),
    "MuseumObject": ("{0}, {1}", ("object_number", "title")),
    "Observation": ("F{1} in {0}", ("report__report_no", "feature__number")),
    "Organisation": ("{0}", ("name",)),
    "Person": ("{0}", ("full_name",)),
    "Picture": ("{0}", ("name",)),
    "PictureMatch": ("how {0} lies on {1}", ("upper__name", "lower__name")),
    "Place": ("{0} (short code {1})", ("name", "code")),
    "Print": ("print {0}", ("print_no",)),
    "Proposal": ("treatment proposal {0}", ("proposal_no",)),
    "ProposalVersion": ("treatment proposal {0}, version {1}", (
        "proposal__proposal_no", "version")),
    "PlacePlan": ("plan {1} of {0}", ("place__name", "number")),
    "ReadingPoint": ("reading point {1} in {0}", ("place__name", "letter")),
    "Recommendation": ("recommendation {1} of {0}", ("report__report_no", "number")),
    "SensitivityClass": ("{0}", ("label",)),
    "Showing": ("{0}, {1} in {2}", (
        "request_no", "museum_object__object_number", "exhibition__title")),
    "Signature": ("signature of {0} on {1:%Y-%m-%d}", ("person__full_name", "at")),
    "StandingConsent": ("standing consent {0}", ("standing_no",)),
    "StepSequence": ("{0}", ("name",)),
    "TakeDown": ("take-down for {0}", ("showing__request_no",)),
    "TreatmentFinding": ("F{1} of {0}, found during treatment", (
        "museum_object__object_number", "feature__number")),
    "TreatmentReport": ("treatment report on {0}, version {1}", (
        "proposal__proposal_no", "version")),
    "TreatmentStep": ("{0} of {1:%Y-%m-%d}", ("step__label", "observed_at")),
    "TurnRecord": ("turn {0}", ("turn_no",)),
    "Word": ("{0}", ("label",)),
}  # fmt: skip
#: What the file of a record's page is called; each of these is the record's alone.
NUMBERED: Final[Mapping[str, tuple[str, tuple[str, ...]]]] = {
    "Appointment": ("{0}", ("appointment_no",)),
    "Assessment": ("{0}-V{1}", ("showing__request_no", "version")),
    "ConditionReport": ("{0}-V{1}", ("report_no", "version")),
    "Exhibition": ("{0}", ("short",)),
    "Facsimile": ("{0}", ("facsimile_no",)),
    "HouseRules": ("V{0}", ("version",)),
    "Housing": ("{0}", ("housing_no",)),
    "ImagingJob": ("{0}", ("job_no",)),
    "Incident": ("{0}", ("incident_no",)),
    "InstallCheck": ("{0}", ("code",)),
    "LitTimetable": ("{0}", ("name",)),
    "Loan": ("{0}", ("agreement_no",)),
    "Mount": ("{0}", ("mount_no",)),
    "Movement": ("{0}", ("movement_no",)),
    "MuseumObject": ("{0}", ("object_number",)),
    "Place": ("{0}-{1}", ("name", "code")),
    "Print": ("{0}", ("print_no",)),
    "Proposal": ("{0}", ("proposal_no",)),
    "ProposalVersion": ("{0}-V{1}", ("proposal__proposal_no", "version")),
    "Showing": ("{0}", ("request_no",)),
    "StandingConsent": ("{0}", ("standing_no",)),
    "TakeDown": ("{0}", ("code",)),
    "TreatmentReport": ("{0}-V{1}", ("proposal__proposal_no", "version")),
    "TurnRecord": ("{0}", ("turn_no",)),
}
_MOST: Final = 20_000


@dataclass(frozen=True, slots=True)
class Name:
    """What a record is called, its lasting mark, its definition (words), its file (pictures)."""

    text: str
    mark: str
    means: str = ""
    file: str = ""


UNKNOWN: Final = Name("no longer on record", "")


class Names:
    """Looks names up in bulk and remembers a bounded number of them."""

    def __init__(self) -> None:
        self._known: dict[tuple[Model, int], Name] = {}

    def look_up(self, model: Model, keys: Iterable[int | None]) -> None:
        """Read the names of these rows in one query, unless they are known."""
        wanted = {key for key in keys if key is not None and (model, key) not in self._known}
        if not wanted:
            return
        if len(self._known) > _MOST:
            self._known.clear()
        template, columns = CALLED.get(
            model.__name__, (f"{called(model)[0]} with the mark {{0}}", ("uid",))
        )
        more = _more(model)
        rows = model._default_manager.filter(pk__in=sorted(wanted))
        for pk, uid, *values in rows.values_list("pk", "uid", *columns, *more).order_by("pk"):
            filled = [_said(value) for value in values[: len(columns)]]
            means, file = _meaning(model, uid, values[len(columns) :])
            text = template.format(*filled)
            self._known[model, pk] = Name(_tidy(text), str(uid), means, file)

    def of(self, model: Model, key: int | None) -> Name:
        """Return a name that was looked up before."""
        return self._known.get((model, key), UNKNOWN) if key is not None else UNKNOWN


def _said(value: Any) -> Any:
    return "" if value is None else value


def _tidy(text: str) -> str:
    """Leave out what was empty: ‘paste, , batch ’ becomes ‘paste’."""
    parts = [part.strip() for part in text.split(", ")]
    return ", ".join(part for part in parts if part and part not in {"batch", "serial number"})


def _more(model: Model) -> tuple[str, ...]:
    if model is Word:
        return ("definition", "vocabulary")
    if model is SensitivityClass:
        return ("definition",)
    if model is Picture:
        return PICTURE_COLUMNS
    if model is Document:
        return ("title", "mime")
    return NUMBERED.get(model.__name__, ("", ()))[1]


def _meaning(model: Model, uid: UUID, more: list[Any]) -> tuple[str, str]:
    if model is Word:
        return _defined(more[0], f"{Vocabulary(more[1]).label}s"), ""
    if model is SensitivityClass:
        return _defined(more[0], "sensitivity classes"), ""
    if model is Picture:
        return "", picture_file(uid, *more)
    if model is Document:
        return "", scan_file(uid, *more)
    if folder := kind_of(model).folder:
        template = NUMBERED.get(model.__name__, ("", ()))[0]
        return "", page_file(folder, template.format(*more), uid)
    return "", ""


def _defined(definition: str, of_list: str) -> str:
    return f"{definition or 'no definition is on record'} [from the list of {of_list}]"


PICTURE_COLUMNS: Final = (
    "museum_object__object_number", "face__label", "purpose", "light", "taken_at", "name", "mime",
)  # fmt: skip


def picture_file(
    uid: UUID,
    number: str | None,
    face: str | None,
    purpose: str,
    light: str,
    taken_at: Any,
    name: str,
    mime: str,
) -> str:
    """Return where a picture lies in a package, under a name that says what it shows."""
    day = f"{taken_at:%Y-%m-%d}" if taken_at else ""
    title = name.rsplit(".", 1)[0]
    parts = [number or "no object", face or "", purpose, light, day, title]
    return f"pictures/{described(parts, uid, SUFFIXES[mime])}"


def scan_file(uid: UUID, title: str, mime: str) -> str:
    """Return where a scan or document lies in a package."""
    return f"scans/{described([title], uid, SUFFIXES[mime])}"


def page_file(folder: str, text: str, uid: UUID) -> str:
    """Return where the page of a record lies in a package."""
    return f"records/{folder}/{safe_name(text, uid)}.txt"
