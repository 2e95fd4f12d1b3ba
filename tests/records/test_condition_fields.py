"""The condition record against the field lists of the trade, source by source.

Each list names its source: SEEN means its text was read, 'from memory' and 'common practice' say
what they are. The right side of each line is where the fact stands with us.
"""

import pytest
from django.apps import apps

from lifecycle.process.words import (
    CompareResult,
    FeatureState,
    Grade,
    LightKind,
    ReportKind,
    SeenAs,
    Severity,
    Stability,
)
from lifecycle.records.models.condition.words import SectionName

# Spectrum, condition checking and technical assessment (open procedure of the Collections Trust,
# read under its licence): process and object record tied by a check reference number. SEEN.
SPECTRUM = {
    "condition check reference number": "ConditionReport.report_no",
    "object number": "ConditionReport.museum_object",
    "condition, a single term": "ConditionReport.grade",
    "condition check date": "ConditionReport.examined_at",
    "say if the date is unknown": "ConditionReport.examined_certainty",
    "condition check note, 'in the presence of'": "ConditionReport.present",
    "condition note": "ReportSection.observed",
    "display recommendations": "ConditionReport.fit_display",
    "handling recommendations": "ConditionReport.fit_handling",
    "recommendations of other kinds": "Recommendation.about",
    "most serious finding": "Observation.severity",
}
# The older published requirement list behind it: from memory.
SPECTRUM_MINIMUM = {
    "object number": "ConditionReport.museum_object",
    "date": "ConditionReport.examined_at",
    "name of checker": "ConditionReport.examiners",
    "reason for check": "ConditionReport.reason",
}
# AIC commentaries 24 (documentation) and 25 (examination). SEEN.
AIC = {
    "purpose and circumstances": "ConditionReport.reason",
    "name of documentor": "ConditionReport.examiners",
    "date": "ConditionReport.examined_at",
    "object identified": "ConditionReport.museum_object",
    "parts noted as belonging": "ConditionReport.components_complete",
    "observation kept apart": "ReportSection.observed",
    "interpretation kept apart": "ReportSection.interpretation",
    "methods used": "LightUsed.light",
    "instruments": "LightUsed.instrument",
    "mounts, frames, housings as seen": "ConditionReport.seen_as",
    "condition with location": "Observation.zone",
}
# EN 16095:2012, condition recording of movable heritage: purpose, status, essential contents. The
# Swedish summary was SEEN, the standard itself was not: the contents below are our reading of it
# together with our own choice (union of the three lists and ours).
EN_16095 = {
    "purpose of the report": "ConditionReport.kind",
    "status of the report": "ConditionReport.signed_at",
    "version of the report": "ConditionReport.version",
    "who asked for it": "ConditionReport.requested_by",
    "place": "ConditionReport.where",
    "lighting": "ConditionReport.light_there",
    "what could not be examined": "NotSeen.what",
    "findings: term": "Observation.term",
    "findings: zone": "Observation.zone",
    "findings: face": "Feature.face",
    "findings: severity": "Observation.severity",
    "findings: extent": "Observation.length_mm",
    "findings: picture": "Observation.picture",
    "overall term": "ConditionReport.grade",
    "stability": "ConditionReport.stability",
    "fit for travel": "ConditionReport.fit_travel",
    "previous report compared": "ConditionReport.compared_with",
    "result of the comparison": "ConditionReport.result",
    "next check": "ConditionReport.next_check_due",
    "signature over exactly these words": "ConditionReport.digest",
}


@pytest.mark.parametrize(
    ("source", "wanted"),
    [
        (source, wanted)
        for source, fields in (
            ("Spectrum", SPECTRUM),
            ("Spectrum, older minimum", SPECTRUM_MINIMUM),
            ("AIC 24 and 25", AIC),
            ("EN 16095", EN_16095),
        )
        for wanted in fields.items()
    ],
    ids=lambda value: value if isinstance(value, str) else value[0],
)
def test_the_record_has_a_place_for_it(source: str, wanted: tuple[str, str]) -> None:
    what, where = wanted
    model_name, field_name = where.split(".")
    fields = {f.name for f in apps.get_model("records", model_name)._meta.get_fields()}
    assert field_name in fields, f"{source} asks for “{what}”"


def test_the_kinds_of_report_cover_every_move() -> None:
    """Common practice, and Spectrum (SEEN): check before and after every move and change of use."""
    before_and_after = {
        "a loan coming and going": {ReportKind.INCOMING, ReportKind.OUTGOING},
        "going on display and coming off": {ReportKind.BEFORE_INSTALL, ReportKind.AT_INSTALL,
                                            ReportKind.DEINSTALL_AT_CASE,
                                            ReportKind.DEINSTALL_AT_BENCH},
        "a turn of the face": {ReportKind.OFF_GOING_FACE, ReportKind.ON_COMING_FACE},
        "treatment": {ReportKind.BASELINE, ReportKind.AFTER_TREATMENT},
        "something happened": {ReportKind.INCIDENT},
    }  # fmt: skip
    assert all(kinds <= set(ReportKind) for kinds in before_and_after.values())


def test_not_looked_at_and_could_not_be_seen_are_answers_of_their_own() -> None:
    """Common practice: a record tells what was not looked at from what could not be seen."""
    answers = {state.value for state in FeatureState}
    assert {"same", "not_looked_at", "could_not_be_seen"} <= answers
    assert CompareResult.CANNOT_TELL in CompareResult


def test_severity_runs_from_trace_to_threat() -> None:
    """Decided for the project (point 10); the four grades are the UK survey scale, from memory."""
    assert [severity.value for severity in Severity] == [0, 1, 2, 3]
    assert [grade.value for grade in Grade] == ["good", "fair", "poor", "unacceptable"]
    assert {s.value for s in Stability} >= {"stable", "changing"}


def test_the_lights_of_examination_are_the_trade_s() -> None:
    """Raking and UV fluorescence SEEN in print, the rest from memory."""
    assert {"diffuse", "raking", "transmitted", "uv_fluorescence", "near_infrared"} <= {
        light.value for light in LightKind
    }
    assert {"unhoused", "in_mount", "framed_glazed"} <= {seen.value for seen in SeenAs}
    assert {"support", "binding", "summary"} <= set(SectionName.values)
