"""Closed lists that the process reasons with. Pure; tables turn them into column choices.

The words are the trade's; where a list is published, the class names its source. Lists that one
subject alone uses stand in that subject's model file.
"""

from enum import IntEnum, StrEnum
from typing import Final


class Word(StrEnum):
    """A closed list whose label is its value in plain words."""

    @property
    def label(self) -> str:
        return LABELS.get(f"{type(self).__name__}.{self.name}", self.value.replace("_", " "))


class Hazard(Word):
    MERCURY_LIQUID = "mercury_liquid"
    MERCURY_SALTS = "mercury_salts"
    ARSENIC = "arsenic"
    LEAD = "lead"
    PESTICIDE = "pesticide"
    MOULD = "mould"
    SHARP = "sharp"
    HEAVY = "heavy"
    FRAGILE_GLASS = "fragile_glass"
    BATTERY = "battery"
    NITRATE_FILM = "nitrate_film"
    ASBESTOS = "asbestos"
    RADIOACTIVE = "radioactive"
    MAGNETS = "magnets"
    NONE_KNOWN = "none_known"
    NOT_ASSESSED = "not_assessed"


class HazardEvidence(Word):
    TESTED = "tested"
    SUSPECTED = "suspected"
    NONE_FOUND = "none_found"


class Orientation(Word):
    ANY = "any"
    FLAT_FACE_UP = "flat_face_up"
    FLAT_FACE_DOWN = "flat_face_down"
    UPRIGHT_ONLY = "upright_only"
    AS_MOUNTED = "as_mounted"


class FaceKind(Word):
    RECTO = "recto"
    VERSO = "verso"
    OPENING = "opening"
    PAGE = "page"
    PLATE = "plate"
    SIDE = "side"
    COMPONENT = "component"


class OwnerKind(Word):
    MUSEUM = "museum"
    LENDER = "lender"


class PlaceKind(Word):
    SITE = "site"
    BUILDING = "building"
    ROOM = "room"
    CASE = "case"
    POSITION = "position"
    STORE = "store"
    BAY = "bay"
    SHELF = "shelf"
    BENCH = "bench"
    STUDIO = "studio"
    QUARANTINE = "quarantine"
    VEHICLE = "vehicle"
    LENDER = "lender"


class LitPurpose(Word):
    PUBLIC = "public"
    CLEANING = "cleaning"
    EVENTS = "events"
    WORK = "work"
    RESIDUAL = "residual"


class ExhibitionState(Word):
    PLANNED = "planned"
    APPROVED = "approved"
    INSTALLING = "installing"
    OPEN = "open"
    CLOSING = "closing"
    CLOSED = "closed"


class Priority(Word):
    KEY_PIECE = "key_piece"
    IMPORTANT = "important"
    FILLER = "filler"


class Answer(Word):
    """The conservator's answer to a request."""

    YES = "yes"
    YES_WITH_CONDITIONS = "yes_with_conditions"
    AFTER_TREATMENT = "after_treatment"
    NO_UNTIL = "no_until"
    NO = "no"
    FACSIMILE_ONLY = "facsimile_only"


class ListAnswer(Word):
    """What one line of a list of requests is told at once."""

    GO = "go"
    RESTING = "resting"
    BOOKED = "booked"
    FACSIMILE_ONLY = "facsimile_only"
    OVER_ACCOUNT = "over_account"
    NOT_FOUND = "not_found"
    TWICE = "twice"
    UNCLEAR = "unclear"


class FitForDisplay(Word):
    YES = "yes"
    YES_WITH_CONDITIONS = "yes_with_conditions"
    AFTER_TREATMENT = "after_treatment"
    FACSIMILE_ONLY = "facsimile_only"
    NO = "no"


class Fit(Word):
    YES = "yes"
    WITH_LIMITS = "with_limits"
    NO = "no"


class HoldKind(Word):
    INCIDENT = "incident"
    CHANGE_FOUND = "change_found"
    UNCLEAR_FINDING = "unclear_finding"
    LENDER_OBJECTS = "lender_objects"
    OTHER = "other"


class ReportKind(Word):
    BASELINE = "baseline"
    INCOMING = "incoming"
    OUTGOING = "outgoing"
    AFTER_TREATMENT = "after_treatment"
    BEFORE_INSTALL = "before_install"
    AT_INSTALL = "at_install"
    IN_DISPLAY = "in_display"
    OFF_GOING_FACE = "off_going_face"
    ON_COMING_FACE = "on_coming_face"
    DEINSTALL_AT_CASE = "deinstall_at_case"
    DEINSTALL_AT_BENCH = "deinstall_at_bench"
    RETURN = "return"
    INCIDENT = "incident"
    CALL_BACK = "call_back"


class SeenAs(Word):
    UNHOUSED = "unhoused"
    IN_MOUNT = "in_mount"
    FRAMED_GLAZED = "framed_glazed"
    FRAMED_UNGLAZED = "framed_unglazed"
    IN_CASE_THROUGH_GLASS = "in_case_through_glass"
    IN_HOUSING = "in_housing"


class LightKind(Word):
    """Lights of examination (common practice; the names are the trade's)."""

    DIFFUSE = "diffuse"
    RAKING = "raking"
    TRANSMITTED = "transmitted"
    AXIAL = "axial"
    UV_FLUORESCENCE = "uv_fluorescence"
    NEAR_INFRARED = "near_infrared"
    MAGNIFIED = "magnified"
    OTHER = "other"


class Grade(Word):
    """Four-grade survey scale; the definitions are printed on the report."""

    GOOD = "good"
    FAIR = "fair"
    POOR = "poor"
    UNACCEPTABLE = "unacceptable"

    @property
    def means(self) -> str:
        """The definition in our own words, after the survey scale in common use."""
        return _GRADES[self]

    @property
    def with_meaning(self) -> str:
        """The grade and its definition in one line.

        >>> Grade.POOR.with_meaning
        'Poor: lasting damage or slow change; needs work.'
        """
        return f"{self.label.capitalize()}: {self.means[0].lower()}{self.means[1:]}"


_GRADES: Final = {
    Grade.GOOD: "Nothing needs doing, and nothing is changing.",
    Grade.FAIR: "Flawed or incomplete, but stable; nothing needs doing at once.",
    Grade.POOR: "Lasting damage or slow change; needs work.",
    Grade.UNACCEPTABLE: "Badly weakened or changing fast; needs work at once.",
}


class Stability(Word):
    STABLE = "stable"
    CHANGING_SLOWLY = "changing_slowly"
    CHANGING = "changing"
    NOT_KNOWN = "not_known"


class Activity(Word):
    STABLE = "stable"
    ACTIVE = "active"
    NOT_KNOWN = "not_known"


class Layer(Word):
    SUPPORT = "support"
    MEDIUM = "medium"
    COATING = "coating"
    MOUNT_OR_LINING = "mount_or_lining"
    BINDING = "binding"
    FRAME = "frame"
    MECHANISM = "mechanism"
    PREVIOUS_REPAIR = "previous_repair"


class Severity(IntEnum):
    TRACE = 0
    SLIGHT = 1
    PLAIN = 2
    THREATENS = 3

    @property
    def label(self) -> str:
        return _SEVERITY_LABELS[self.value]


_SEVERITY_LABELS = (
    "0 trace",
    "1 slight",
    "2 plain at viewing distance",
    "3 threatens structure or legibility",
)


class FeatureState(Word):
    """How a feature stands against the report compared with."""

    FIRST_RECORD = "first_record"
    SAME = "same"
    WORSE = "worse"
    LESS = "less"
    GONE = "gone"
    TREATED = "treated"
    NOT_LOOKED_AT = "not_looked_at"
    COULD_NOT_BE_SEEN = "could_not_be_seen"


class CompareResult(Word):
    NO_CHANGE_SEEN = "no_change_seen"
    CHANGE_SEEN = "change_seen"
    CANNOT_TELL = "cannot_tell"


class LookVerdict(Word):
    AS_PICTURE = "as_picture"
    LOOK_AGAIN = "look_again"
    ACT_NOW = "act_now"


class Certainty(Word):
    """How well a moment seen in the world is known."""

    EXACT = "exact"
    DAY = "day"
    BETWEEN = "between"
    NOT_KNOWN = "not_known"


class SignCapacity(Word):
    AUTHOR = "author"
    CO_AUTHOR = "co_author"
    SECOND_READER = "second_reader"
    CONSENT = "consent"
    WITNESS = "witness"
    SENT_BY = "sent_by"
    RECEIVED_BY = "received_by"
    COURIER = "courier"
    LENDER = "lender"
    COUNTERSIGNED = "countersigned"
    WAIVED_BY = "waived_by"


class SignMethod(Word):
    ACCOUNT = "account"
    ON_PAPER = "on_paper"
    ON_GLASS = "on_glass"


LABELS = {
    "Hazard.MERCURY_LIQUID": "mercury (liquid)",
    "Hazard.MERCURY_SALTS": "mercury salts",
    "Hazard.PESTICIDE": "pesticide residue",
    "FaceKind.SIDE": "side",
    "ReportKind.DEINSTALL_AT_CASE": "de-install at case",
    "ReportKind.DEINSTALL_AT_BENCH": "de-install at bench",
    "ReportKind.OFF_GOING_FACE": "off-going face",
    "ReportKind.ON_COMING_FACE": "on-coming face",
    "ReportKind.CALL_BACK": "call-back",
    "Answer.YES_WITH_CONDITIONS": "yes, with conditions",
    "Answer.NO_UNTIL": "no, not before a date",
    "ListAnswer.GO": "go to assessment",
    "ListAnswer.BOOKED": "already booked by another exhibition",
    "ListAnswer.OVER_ACCOUNT": "more light than the account has",
    "ListAnswer.TWICE": "asked for already",
    "ListAnswer.UNCLEAR": "not clear",
    "FitForDisplay.YES_WITH_CONDITIONS": "yes, with conditions",
    "Fit.WITH_LIMITS": "with limits",
    "LightKind.AXIAL": "axial (specular)",
    "LightKind.UV_FLUORESCENCE": "long-wave UV (fluorescence seen)",
    "LightKind.NEAR_INFRARED": "near infrared",
    "Layer.MOUNT_OR_LINING": "mount or lining",
    "Layer.PREVIOUS_REPAIR": "previous repair",
    "SeenAs.IN_CASE_THROUGH_GLASS": "in case, through glass",
    "SeenAs.FRAMED_GLAZED": "framed, glazed",
    "SeenAs.FRAMED_UNGLAZED": "framed, unglazed",
    "SignMethod.ACCOUNT": "account, with password again",
    "SignMethod.ON_PAPER": "on paper, scan attached",
    "HoldKind.LENDER_OBJECTS": "lender's objection",
    "Orientation.FLAT_FACE_UP": "flat, face up",
    "Orientation.FLAT_FACE_DOWN": "flat, face down",
    "Orientation.UPRIGHT_ONLY": "upright only",
    "Priority.KEY_PIECE": "key piece",
}
