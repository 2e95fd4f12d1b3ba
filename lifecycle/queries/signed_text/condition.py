"""The words of a signed condition report."""

from typing import Final

from lifecycle.process.ink import InkLevel, InkMethod, SpotTest
from lifecycle.process.words import (
    Activity,
    Certainty,
    CompareResult,
    FeatureState,
    Fit,
    Grade,
    Layer,
    LightKind,
    ReportKind,
    SeenAs,
    Severity,
    Stability,
    Word,
)
from lifecycle.queries.marks import FULL, Marks, marks_of, scale_in_words
from lifecycle.queries.signed_text.kind import SignedKind
from lifecycle.queries.signed_text.lines import (
    NOT_STATED,
    Lines,
    Wording,
    moment_in_words,
    number_in_words,
)
from lifecycle.records.models.condition import (
    AsFound,
    BenchCheck,
    ConditionReport,
    LightUsed,
    Observation,
)
from lifecycle.records.models.condition.words import SectionName, Zone

SECTIONS: Final = tuple(SectionName.values)


def _label(words: type[Word], value: str) -> str:
    return words(value).label if value else NOT_STATED


def report_text(report: ConditionReport, wording: Wording) -> str:
    """Return the words of a report: head, faces, sections, lights, findings, conclusions."""
    lines = Lines("Condition report", number=report.report_no, version=report.version)
    _head(lines, report, wording)
    _faces(lines, report, wording)
    _sections(lines, report, wording)
    _lights(lines, report)
    _not_seen(lines, report, wording)
    _findings(lines, report, wording)
    _ink(lines, report, wording)
    _conclusions(lines, report)
    _after_display(lines, report, wording)
    return lines.text()


def _head(lines: Lines, report: ConditionReport, wording: Wording) -> None:
    if report.corrects is not None:
        lines.say("Corrects version", str(report.corrects.version))
        lines.prose("What changed and why", report.correction_note)
    museum_object = report.museum_object
    lines.say("Object number", wording.of(museum_object, "object_number"))
    lines.say("Title", wording.of(museum_object, "title"))
    lines.say("Maker", wording.of(museum_object, "maker"))
    lines.say("Date as catalogued", wording.of(museum_object, "date_text"))
    lines.say("Showing", wording.of(report.showing, "request_no"))
    lines.say("Kind of report", _label(ReportKind, report.kind))
    lines.say("Reason", wording.of(report.reason, "label"))
    lines.say("Asked for by", wording.of(report.requested_by, "full_name"))
    lines.moment("Examined", report.examined_at)
    if report.examined_until is not None:
        lines.moment("Examined until", report.examined_until)
    lines.say("Time known as", _label(Certainty, report.examined_certainty))
    examiners = report.examiners.order_by("full_name", "pk")
    lines.say("Examined by", "; ".join(wording.of(person, "full_name") for person in examiners))
    lines.say("Also present", report.present)
    lines.say("Where", wording.of(report.where, "name"))
    lines.say("Light in the room", wording.of(report.light_there, "label"))
    lines.say("Note on that light", report.light_there_note)
    lines.say("Seen as", _label(SeenAs, report.seen_as))
    lines.yes_no("Components complete", report.components_complete)
    lines.say("Note on components", report.components_note)
    if report.compared_with is not None:
        earlier = report.compared_with
        lines.say("Compared with", f"{earlier.report_no} version {earlier.version}")
    else:
        lines.say("Compared with", report.none_known and f"none known: {report.none_known}")
    lines.moment("Entered", report.entered_at)
    lines.say("Entered by", wording.of(report.entered_by, "full_name"))


def _faces(lines: Lines, report: ConditionReport, wording: Wording) -> None:
    lines.heading("Faces")
    covered = report.report_faces.filter(dropped=False).select_related("face", "picture")
    for row in covered.order_by("face__order", "face_id"):
        picture = row.picture.sha256 if row.picture else NOT_STATED
        further = "; nothing further seen" if row.nothing_further else ""
        lines.say("Face", f"{wording.of(row.face, 'label')}; picture SHA-256 {picture}{further}")


def _sections(lines: Lines, report: ConditionReport, wording: Wording) -> None:
    sections = {section.name: section for section in report.sections.select_related("written_by")}
    for name in SECTIONS:
        section = sections.get(name)
        if section is None or section.revision == 0:  # taken, and nothing written
            continue
        lines.heading(f"Section: {section.get_name_display()}")
        lines.prose("What is there", section.observed)
        lines.prose("What it means", section.interpretation)
        lines.say("Written by", wording.of(section.written_by, "full_name"))
        lines.moment("Written", section.written_at)


def light_in_words(light: LightUsed) -> str:
    """Return one light of examination as a sentence part, units written out."""
    parts = [LightKind(light.light).label]
    if light.direction_clock is not None:
        parts.append(f"from {light.direction_clock} o'clock")
    if light.instrument:
        parts.append(f"with {light.instrument}")
    if light.magnification is not None:
        parts.append(f"magnified {number_in_words(light.magnification)} times")
    if light.minutes is not None:
        parts.append(f"for {number_in_words(light.minutes)} minutes")
    if light.lux is not None:
        parts.append(f"at {light.lux} lux")
    if light.picture is not None:
        parts.append(f"picture SHA-256 {light.picture.sha256}")
    if light.note:
        parts.append(light.note)
    return "; ".join(parts)


def _lights(lines: Lines, report: ConditionReport) -> None:
    lines.heading("Lights used")
    used = report.lights_used.filter(taken_back=False).select_related("picture")
    for light in used.order_by("number"):
        lines.say(f"Light {light.number}", light_in_words(light))


def _not_seen(lines: Lines, report: ConditionReport, wording: Wording) -> None:
    lines.heading("Not seen")
    if report.everything_seen:
        lines.say("Not seen", "nothing: everything could be seen")
    rows = report.not_seen.filter(taken_back=False).select_related("what")
    for row in rows.order_by("what__code", "pk"):
        note = f": {row.note}" if row.note else ""
        lines.say("Not seen", f"{wording.of(row.what, 'label')}{note}")


def place_in_words(seen: Observation) -> str:
    """Return where a finding is: grid zone, box in percent of the picture, clock position."""
    parts = []
    if seen.zone:
        parts.append(f"zone {Zone(seen.zone).label}")
    if seen.box_left is not None and seen.box_top is not None:
        parts.append(
            f"box {number_in_words(seen.box_left)} percent from left, "
            f"{number_in_words(seen.box_top)} percent from top, "
            f"{number_in_words(seen.box_width or 0)} percent wide, "
            f"{number_in_words(seen.box_height or 0)} percent high"
        )
    if seen.clock_position is not None:
        parts.append(f"at {seen.clock_position} o'clock")
    return "; ".join(parts)


def _mark(lines: Lines, seen: Observation, marks: Marks) -> None:
    """A mark on a picture, with what it measures; a finding without one says nothing here."""
    found = marks.of(seen)
    if found is None or seen.marked_on is None:
        return
    said = found.said
    lines.say("Mark on the picture", f"{said.shape} in {said.cells}: {said.where}")
    lines.say("Marked on picture SHA-256", seen.marked_on.sha256)
    if said.size:
        lines.say("Size of the mark", said.size)
    if found.plane.ruler is not None:
        lines.say("Scale", scale_in_words(found.plane.ruler, FULL))


def _findings(lines: Lines, report: ConditionReport, wording: Wording) -> None:
    lines.heading("Findings")
    if report.nothing_to_note:
        lines.say("Findings", "nothing to note on the faces examined")
    rows = report.observations.filter(taken_back=False).select_related(
        "feature__face", "term", "seen_in", "picture", "marked_on", "written_by"
    )
    in_order = list(rows.order_by("feature__number"))
    marks = marks_of(in_order, at=wording.at, units=FULL)
    for seen in in_order:
        lines.heading(f"Finding F{seen.feature.number}")
        lines.say("Face", wording.of(seen.feature.face, "label"))
        lines.say("Term", wording.of(seen.term, "label"))
        lines.say("Against the earlier report", _label(FeatureState, seen.state))
        lines.say("Layer", _label(Layer, seen.layer))
        lines.say("Where", place_in_words(seen))
        _mark(lines, seen, marks)
        lines.quantity("Length", seen.length_mm, "millimetres")
        lines.quantity("Width", seen.width_mm, "millimetres")
        lines.quantity("How many", seen.count)
        severity = NOT_STATED if seen.severity is None else Severity(seen.severity).label
        lines.say("Severity", severity)
        lines.say("Activity", _label(Activity, seen.activity))
        light = NOT_STATED if seen.seen_in is None else f"light {seen.seen_in.number}"
        lines.say("Seen in", light)
        if seen.picture is not None:
            lines.say("Picture SHA-256", seen.picture.sha256)
        lines.prose("Note", seen.note)
        lines.say("Written by", wording.of(seen.written_by, "full_name"))
        lines.moment("Written", seen.written_at)


def _ink(lines: Lines, report: ConditionReport, wording: Wording) -> None:
    """Inked areas and spot tests; a report without any says nothing of them."""
    areas = report.ink_ratings.filter(taken_back=False).select_related("face", "written_by")
    for area in areas.order_by("number"):
        lines.heading(f"Iron-gall ink, area {area.number}")
        lines.say("Face", wording.of(area.face, "label"))
        lines.say("Inked area", area.area)
        lines.say("Where", f"zone {Zone(area.zone).label}" if area.zone else "")
        lines.say("Level", InkLevel(area.level).label)
        lines.say("Looked at", InkMethod(area.method).label)
        lines.prose("Note", area.note)
        lines.say("Written by", wording.of(area.written_by, "full_name"))
        lines.moment("Written", area.written_at)
    tests = report.ink_tests.filter(taken_back=False).select_related(
        "face", "area", "picture", "written_by"
    )
    for test in tests.order_by("number"):
        lines.heading(f"Spot test {test.number}")
        lines.say("Test", SpotTest(test.test).label)
        lines.say("Face", wording.of(test.face, "label"))
        lines.say("Spot", test.spot)
        lines.say("Inked area", str(test.area.number) if test.area else "")
        lines.say("Lot of the strips", test.strip_lot)
        lines.say("Wetted with", test.wetted_with)
        lines.quantity("Contact", test.contact_seconds, "seconds")
        lines.quantity("Read after", test.read_after_seconds, "seconds")
        lines.say("Colour of the strip", test.get_colour_display())
        lines.say("Consent", test.consent)
        if test.picture is not None:
            lines.say("Picture SHA-256", test.picture.sha256)
        lines.prose("Note", test.note)
        lines.say("Written by", wording.of(test.written_by, "full_name"))
        lines.moment("Written", test.written_at)


def _conclusions(lines: Lines, report: ConditionReport) -> None:
    lines.heading("Conclusions")
    lines.say("Overall grade", _label(Grade, report.grade))
    lines.say("Stability", _label(Stability, report.stability))
    lines.say("Result of the comparison", _label(CompareResult, report.result))
    lines.say("Fit for display", _label(Fit, report.fit_display))
    lines.say("Fit for travel", _label(Fit, report.fit_travel))
    lines.say("Fit for handling", _label(Fit, report.fit_handling))
    lines.prose("Limits", report.fit_limits)
    lines.say("Treatment needed", report.get_treatment_needed_display())
    lines.day("Next check due", report.next_check_due)
    for advice in report.recommendations.filter(taken_back=False).order_by("number"):
        about = f"Recommendation {advice.number}, {advice.get_about_display()}"
        lines.prose(about, advice.text)
        if advice.due_on is not None:
            lines.day(f"Recommendation {advice.number} due", advice.due_on)


def _after_display(lines: Lines, report: ConditionReport, wording: Wording) -> None:
    part_a = AsFound.objects.filter(report=report).select_related("picture").first()
    if part_a is not None:
        lines.heading("Part A, as found")
        lines.yes_no("Written after the object was out, in an emergency", part_a.emergency)
        lines.say("Position", part_a.get_as_placed_display())
        lines.say("Note on position", part_a.as_placed_note)
        lines.say("Dust inside", part_a.dust)
        lines.quantity("Insects or trap count", part_a.insects)
        lines.say("Note on pests", part_a.pests_note)
        lines.say("Picture SHA-256", part_a.picture.sha256 if part_a.picture else "")
    part_b = BenchCheck.objects.filter(report=report).select_related("lender_told_by").first()
    if part_b is not None:
        lines.heading("Part B, at the bench")
        lines.yes_no("Same lights as the earlier report", part_b.same_lights)
        lines.say("Other lights, because", part_b.lights_note)
        lines.say("Next step", part_b.get_next_step_display())
        told = part_b.lender_told_at
        lines.say("Lender told", moment_in_words(told) if told else NOT_STATED)
        lines.say("Lender told by", wording.of(part_b.lender_told_by, "full_name"))


KINDS: Final[tuple[SignedKind, ...]] = (
    SignedKind(
        name="condition-report",
        label="condition report",
        model=ConditionReport,
        text=report_text,
        number=lambda report: report.report_no,
    ),
)
