"""The words of a display assessment, an install check and a turn record."""

from enum import StrEnum
from typing import Any, Final

from lifecycle.process.words import FitForDisplay, Orientation
from lifecycle.queries.signed_text.kind import SignedKind
from lifecycle.queries.signed_text.lines import NOT_STATED, Lines, Wording
from lifecycle.records.models import Assessment, InstallCheck, Showing, TurnRecord
from lifecycle.records.models.display.assessment import (
    AssessmentKind,
    RotationKind,
    TravelAllowed,
)
from lifecycle.records.models.display.install import ArrivalCompared, Fitted
from lifecycle.records.models.display.rotation import SupportDone, SwapDone


def _label(words: type[StrEnum], value: str) -> str:
    return str(getattr(words(value), "label", value)) if value else NOT_STATED


def _head(lines: Lines, showing: Showing, wording: Wording) -> None:
    lines.say("Object", wording.of(showing.museum_object, "object_number"))
    lines.say("Title", wording.of(showing.museum_object, "title"))
    lines.say("Request", showing.request_no)
    lines.say("Exhibition", wording.of(showing.exhibition, "title"))


def assessment_text(row: Assessment, wording: Wording) -> str:
    lines = Lines("Display assessment", number=row.showing.request_no, version=row.version)
    _head(lines, row.showing, wording)
    lines.say("How assessed", _label(AssessmentKind, row.kind))
    lines.say("Fit for display", _label(FitForDisplay, row.fit_for_display))
    for ground in row.grounds.order_by("code", "pk"):
        lines.say("Ground", wording.of(ground, "label"))
    lines.prose("Note on the grounds", row.ground_note)
    lines.quantity("Treatment, estimated", row.treatment_hours, "hours")
    lines.quantity("Mount, estimated", row.mount_hours, "hours")
    lines.say("Sensitivity class", wording.of(row.sensitivity_class, "label"))
    rules = f"version {row.house_rules.version}" if row.house_rules else NOT_STATED
    lines.say("House rules", rules)
    lines.quantity("Lux ceiling", row.lux_ceiling, "lux")
    lines.quantity("UV ceiling", row.uv_ceiling, "microwatt per lumen")
    lines.quantity("Most light in this showing, per face", row.max_dose_lx_h, "lux hours")
    lines.quantity("Most weeks per face", row.max_weeks, "weeks")
    lines.quantity("Temperature, lowest", row.t_min_c, "degrees Celsius")
    lines.quantity("Temperature, highest", row.t_max_c, "degrees Celsius")
    lines.quantity("Relative humidity, lowest", row.rh_min, "percent")
    lines.quantity("Relative humidity, highest", row.rh_max, "percent")
    lines.quantity("Change of humidity in 24 hours, at most", row.rh_change_24h, "percent")
    lines.quantity("Change of humidity in 1 hour, at most", row.rh_change_1h, "percent")
    lines.prose("Support", row.support_rule)
    lines.quantity("Widest opening", row.max_opening_angle, "degrees")
    lines.say("Orientation", _label(Orientation, row.orientation))
    lines.yes_no("Must be in a case", row.must_be_cased)
    lines.say("Glazing and distance", row.glazing)
    lines.say("Rotation", _label(RotationKind, row.rotation_plan))
    lines.say("Travel", _label(TravelAllowed, row.travel_allowed))
    lines.quantity("A look every", row.look_every_days, "days")
    lines.quantity("A light reading every", row.reading_every_days, "days")
    return lines.text()


def _light(lines: Lines, row: Any, lux: Any, uv: Any, wording: Wording) -> None:
    lines.say("Reading point", wording.of(row.reading_point, "label"))
    lines.say("Meter", wording.of(row.meter, "name"))
    lines.quantity("Illuminance", lux, "lux")
    lines.quantity("UV", uv, "microwatt per lumen")


def install_check_text(row: InstallCheck, wording: Wording) -> str:
    lines = Lines("Install check", number=row.code)
    _head(lines, row.showing, wording)
    lines.say("Position", wording.of(row.place, "name"))
    lines.say("Face", wording.of(row.face, "label"))
    lines.yes_no("Object matches tag and picture", row.matches_tag)
    lines.say("Condition at arrival", _label(ArrivalCompared, row.arrival))
    lines.yes_no("The planned face is shown", row.face_right)
    lines.yes_no("The right way up", row.way_up_right)
    lines.say("Photograph SHA-256", row.picture.sha256 if row.picture else "")
    lines.yes_no("Mount fits without stress", row.mount_fits)
    _light(lines, row, row.lux, row.uv, wording)
    lines.quantity("Humidity in the case at closing", row.case_rh, "percent")
    lines.quantity("Temperature in the case at closing", row.case_t_c, "degrees Celsius")
    lines.say("Caption", _label(Fitted, row.caption))
    lines.say("Facsimile", _label(Fitted, row.facsimile))
    lines.say("Courier present", wording.of(row.courier, "full_name"))
    lines.prose("Note on the courier", row.courier_note)
    lines.prose("Not as planned", row.deviation)
    lines.say("Accepted by", wording.of(row.deviation_accepted_by, "full_name"))
    lines.yes_no("Entered with all as planned", row.as_planned)
    lines.say("First person", wording.of(row.person_1, "full_name"))
    lines.say("Second person", wording.of(row.person_2, "full_name"))
    lines.moment("Begun", row.begun_at)
    lines.moment("Closed", row.closed_at)
    return lines.text()


def turn_text(row: TurnRecord, wording: Wording) -> str:
    lines = Lines("Turn record", number=row.turn_no)
    _head(lines, row.showing, wording)
    if row.other_showing is not None:
        other = row.other_showing.museum_object
        lines.say("Swapped with", wording.of(other, "object_number"))
    lines.say("Taken out of", wording.of(row.place, "name"))
    lines.say("Shown in", wording.of(row.to_place, "name"))
    lines.say("Face that came off", wording.of(row.from_face, "label"))
    lines.say("Face that went on", wording.of(row.to_face, "label"))
    lines.say("Planned as", row.appointment.appointment_no if row.appointment else "")
    lines.prose("Reason", row.reason)
    off, on = row.off_report, row.on_report
    lines.say("Report of the off-going face", off.report_no if off else "")
    lines.say("Report of the on-coming face", on.report_no if on else "")
    before, after = row.photo_before, row.photo_after
    lines.say("Photograph before, SHA-256", before.sha256 if before else "")
    lines.say("Photograph after, SHA-256", after.sha256 if after else "")
    lines.say("Support", _label(SupportDone, row.support))
    lines.yes_no("Support fits", row.support_fits)
    lines.yes_no("The right way up", row.way_up_right)
    lines.say("Facsimile exchanged", _label(SwapDone, row.facsimile))
    lines.say("Caption exchanged", _label(SwapDone, row.caption))
    if row.companions_named:  # What was signed before they were asked for says nothing of them.
        lines.prose("Companions", row.companions_named)
    lines.say("Courier present", wording.of(row.courier, "full_name"))
    _light(lines, row, row.lux_after, row.uv_after, wording)
    lines.say("First person", wording.of(row.person_1, "full_name"))
    lines.say("Second person", wording.of(row.person_2, "full_name"))
    lines.moment("Taken out", row.started_at)
    lines.moment("Back on show", row.done_at)
    return lines.text()


KINDS: Final[tuple[SignedKind, ...]] = (
    SignedKind(
        name="assessment",
        label="display assessment",
        model=Assessment,
        text=assessment_text,
        number=lambda row: row.showing.request_no,
    ),
    SignedKind(
        name="install-check",
        label="install check",
        model=InstallCheck,
        text=install_check_text,
        number=lambda row: row.code,
    ),
    SignedKind(
        name="turn-record",
        label="turn record",
        model=TurnRecord,
        text=turn_text,
        number=lambda row: row.turn_no,
    ),
)
