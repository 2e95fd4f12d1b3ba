"""Reports: what each kind asks for, numbers for life, and what is refused."""

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest

from lifecycle.actions.condition.advice import answer_recommendation, recommend
from lifecycle.actions.condition.completeness import reasons_against_signing
from lifecycle.actions.condition.findings import (
    Box,
    Sight,
    add_finding,
    answer_feature,
    take_back_finding,
)
from lifecycle.actions.condition.head import (
    Circumstances,
    Conclusions,
    occasion_of,
    save_circumstances,
    save_conclusions,
)
from lifecycle.actions.condition.looking import add_light, say_not_seen, take_back_light
from lifecycle.actions.condition.sections import save_section
from lifecycle.actions.condition.sign import correct_report, strike_draft
from lifecycle.actions.condition.start import Occasion, start_report
from lifecycle.actions.refusals import Conflict, Refused
from lifecycle.process.stages import Role
from lifecycle.process.words import (
    Certainty,
    CompareResult,
    FeatureState,
    LightKind,
    ReportKind,
)
from lifecycle.queries.condition.compare import compare
from lifecycle.queries.condition.known import known_features, last_signed
from lifecycle.records.models import Face, Person, Vocabulary
from lifecycle.records.models.condition import ConditionReport, Feature
from lifecycle.records.models.condition.words import Advice, SectionName
from tests.builders.condition import (
    fill_draft,
    make_finding,
    make_signed,
    sign_as_author,
    start_draft,
    term,
)
from tests.builders.core import (
    AT,
    make_face,
    make_object,
    make_person,
    make_place,
    make_showing,
    make_word,
)

pytestmark = pytest.mark.django_db
LATER = AT + timedelta(days=200)


@pytest.fixture
def marit() -> Person:
    return make_person(Role.CONSERVATOR, name="Marit Oldacre")


@pytest.fixture
def face() -> Face:
    return make_face()


def doing(by: Person, **more: Any) -> dict[str, Any]:
    return {"by": by, "role": Role.CONSERVATOR, "at": AT, **more}


def codes(report: ConditionReport) -> list[str]:
    return [reason.code for reason in reasons_against_signing(report, at=LATER)]


def test_a_later_report_lists_every_feature_as_not_looked_at(marit: Person, face: Face) -> None:
    first = make_signed(face.museum_object, by=marit, findings=3)
    later = start_draft(
        face.museum_object,
        by=marit,
        at=LATER,
        kind=ReportKind.DEINSTALL_AT_BENCH,
        showing=make_showing(museum_object=face.museum_object),
    )
    assert later.compared_with == first
    rows = later.observations.order_by("feature__number")
    assert [(row.feature.number, row.state) for row in rows] == [
        (1, "not_looked_at"),
        (2, "not_looked_at"),
        (3, "not_looked_at"),
    ]
    assert {(row.zone, row.length_mm) for row in rows} == {("C2", Decimal("14.0"))}
    assert codes(later).count("condition.unanswered") == 3


def test_numbers_stay_for_the_life_of_the_object(marit: Person, face: Face) -> None:
    first = make_signed(face.museum_object, by=marit, findings=2)
    draft = start_draft(face.museum_object, by=marit, at=LATER, kind=ReportKind.CALL_BACK)
    wrong = make_finding(draft, face, by=marit, at=LATER)
    assert wrong.feature.number == 3
    take_back_finding(observation=wrong, why="a shadow", **doing(marit, at=LATER))
    assert make_finding(draft, face, by=marit, at=LATER).feature.number == 4
    other = make_face(make_object())
    report = start_draft(faces=[other], by=marit)
    assert make_finding(report, other, by=marit).feature.number == 1
    assert [row.feature.number for row in known_features(face.museum_object)] == [1, 2]
    assert first.observations.count() == 2


def test_a_gone_feature_is_no_longer_listed(marit: Person, face: Face) -> None:
    make_signed(face.museum_object, by=marit, findings=2)
    report = start_draft(face.museum_object, by=marit, at=LATER, kind=ReportKind.CALL_BACK)
    fill_draft(report, by=marit, at=LATER, result=CompareResult.CHANGE_SEEN)
    states = (FeatureState.GONE, FeatureState.SAME)
    for row, state in zip(report.observations.order_by("feature__number"), states, strict=True):
        sight = Sight(term=row.term, state=state, zone="C2", severity=row.severity)
        answer_feature(observation=row, sight=sight, revision=1, **doing(marit, at=LATER))
    sign_as_author(report, by=marit, at=LATER)
    assert [row.feature.number for row in known_features(face.museum_object)] == [2]


def test_the_last_signed_full_report_is_proposed(marit: Person, face: Face) -> None:
    first = make_signed(face.museum_object, by=marit)
    start_draft(face.museum_object, by=marit, at=LATER)  # a draft is nothing to compare with
    assert last_signed(face.museum_object) == first
    assert last_signed(face.museum_object, before=AT - timedelta(days=9)) is None


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"zone": "", "box": None}, "zone"),
        ({"box": Box(left=Decimal(95), top=Decimal(1), width=Decimal(9), height=Decimal(3))},
         "box_left"),
        ({"length_mm": Decimal(-3)}, "length_mm"),
        ({"clock_position": 13}, "clock_position"),
        ({"state": FeatureState.WORSE}, "state"),
    ],
)  # fmt: skip
def test_an_impossible_finding_is_refused_beside_its_field(
    marit: Person, face: Face, values: dict[str, Any], field: str
) -> None:
    report = start_draft(faces=[face], by=marit)
    with pytest.raises(Refused) as refused:
        make_finding(report, face, by=marit, **values)
    assert [reason.field for reason in refused.value.reasons] == [field]
    assert not Feature.objects.exists()


def test_a_finding_needs_a_face_and_a_term_that_belong(marit: Person, face: Face) -> None:
    report = start_draft(faces=[face], by=marit)
    strange = make_word(Vocabulary.NOT_SEEN, "verso")
    sight = Sight(term=strange, state=FeatureState.FIRST_RECORD, zone="A1")
    with pytest.raises(Refused) as refused:
        add_finding(report=report, face=make_face(), sight=sight, **doing(marit))
    assert {reason.field for reason in refused.value.reasons} == {"term", "face"}


def test_two_answers_to_one_feature_conflict(marit: Person, face: Face) -> None:
    report = start_draft(faces=[face], by=marit)
    seen = make_finding(report, face, by=marit)
    sight = Sight(term=term(), state=FeatureState.FIRST_RECORD, zone="A1", note="of Piers")
    piers = make_person(Role.CONSERVATOR, name="Piers Hallam")
    answer_feature(observation=seen, sight=sight, revision=1, **doing(piers))
    mine = Sight(
        term=term(), state=FeatureState.FIRST_RECORD, zone="B1", severity=2, note="of Marit"
    )
    with pytest.raises(Conflict) as conflict:
        answer_feature(observation=seen, sight=mine, revision=1, **doing(marit))
    assert conflict.value.theirs == {"Severity": "", "Zone": "A1 top left", "Note": "of Piers"}
    assert conflict.value.mine == {
        "Severity": "2 plain at viewing distance", "Zone": "B1 middle left", "Note": "of Marit"
    }  # fmt: skip
    assert conflict.value.by == "Piers Hallam"


def test_a_stale_section_conflicts_and_a_stale_conclusion_too(marit: Person, face: Face) -> None:
    report = start_draft(faces=[face], by=marit)
    words = {"report": report, "name": SectionName.SUPPORT, "interpretation": ""}
    save_section(**words, observed="first", revision=0, **doing(marit))  # type: ignore[arg-type]
    with pytest.raises(Conflict) as conflict:
        save_section(**words, observed="second", revision=0, **doing(marit))  # type: ignore[arg-type]
    assert conflict.value.theirs["What is there"] == "first"
    assert conflict.value.mine["What is there"] == "second"
    save_conclusions(
        report=report, conclusions=Conclusions(grade="fair"), revision=1, **doing(marit)
    )
    with pytest.raises(Conflict, match="saved the conclusions") as contested:
        save_conclusions(
            report=report,
            conclusions=Conclusions(grade="good", fit_limits="Not by rail."),
            revision=1,
            **doing(marit),
        )
    assert contested.value.theirs == {"Overall grade": "fair", "Limits": ""}
    assert contested.value.mine == {"Overall grade": "good", "Limits": "Not by rail."}


def test_stale_circumstances_come_back_field_by_field(marit: Person, face: Face) -> None:
    report = start_draft(faces=[face], by=marit)
    piers = make_person(Role.CONSERVATOR, name="Piers Hallam")

    def saved(by: Person, **values: Any) -> None:
        occasion = replace(occasion_of(report), **values)
        circumstances = Circumstances(occasion=occasion, reason=report.reason)
        save_circumstances(report=report, circumstances=circumstances, revision=1, **doing(by))

    saved(piers, present="Wen Castellane")
    with pytest.raises(Conflict, match="Piers Hallam saved the circumstances") as contested:
        saved(marit, examiners=[marit, piers])
    assert contested.value.theirs == {
        "Examined by": "Marit Oldacre", "Also present": "Wen Castellane"
    }  # fmt: skip
    assert contested.value.mine == {
        "Examined by": "Marit Oldacre; Piers Hallam", "Also present": ""
    }  # fmt: skip


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"light": LightKind.RAKING}, "direction_clock"),
        ({"light": LightKind.UV_FLUORESCENCE}, "minutes"),
        ({"light": LightKind.MAGNIFIED}, "magnification"),
        ({"light": LightKind.RAKING, "direction_clock": 13}, "direction_clock"),
        ({"light": LightKind.UV_FLUORESCENCE, "minutes": Decimal(0)}, "minutes"),
    ],
)
def test_a_light_says_what_its_kind_needs(
    marit: Person, face: Face, values: dict[str, Any], field: str
) -> None:
    """The side of raking light is recorded; UV is exposure (common practice)."""
    with pytest.raises(Refused) as refused:
        add_light(report=start_draft(faces=[face], by=marit), **values, **doing(marit))
    assert [reason.field for reason in refused.value.reasons] == [field]


def test_a_light_in_which_something_was_seen_stays(marit: Person, face: Face) -> None:
    report = start_draft(faces=[face], by=marit)
    used = add_light(report=report, light=LightKind.DIFFUSE, **doing(marit))
    make_finding(report, face, by=marit, seen_in=used)
    with pytest.raises(Refused, match="F1 was seen in this light"):
        take_back_light(light=used, **doing(marit))


def test_a_corrected_finding_was_seen_in_the_light_of_its_own_version(
    marit: Person, face: Face
) -> None:
    report = start_draft(faces=[face], by=marit)
    used = add_light(report=report, light=LightKind.RAKING, direction_clock=9, **doing(marit))
    make_finding(report, face, by=marit, seen_in=used)
    sign_as_author(fill_draft(report, by=marit), by=marit)

    again = correct_report(report=report, note="Its size was misread.", **doing(marit))

    copied = again.observations.get().seen_in
    assert copied is not None
    assert (copied.report, copied.number, copied.light) == (again, used.number, used.light)


def test_everything_seen_and_not_seen_exclude_each_other(marit: Person, face: Face) -> None:
    report = start_draft(faces=[face], by=marit)
    say_not_seen(
        report=report, what=make_word(Vocabulary.NOT_SEEN, "verso"), note="", **doing(marit)
    )
    with pytest.raises(Refused, match="contradicts"):
        save_conclusions(
            report=report, conclusions=Conclusions(everything_seen=True), revision=1, **doing(marit)
        )


def test_the_result_must_agree_with_the_answers(marit: Person, face: Face) -> None:
    make_signed(face.museum_object, by=marit)
    report = start_draft(face.museum_object, by=marit, at=LATER, kind=ReportKind.CALL_BACK)
    fill_draft(report, by=marit, at=LATER)
    make_finding(report, face, by=marit, at=LATER)
    assert "condition.result" in codes(report)


@pytest.mark.parametrize(
    ("occasion", "field"),
    [
        (Occasion(), "examined_at"),
        (Occasion(examined_at=AT + timedelta(days=1)), "examined_at"),
        (Occasion(examined_at=AT, certainty=Certainty.BETWEEN), "examined_until"),
        (Occasion(examined_at=AT, examined_until=AT - timedelta(days=2)), "examined_until"),
    ],
)
def test_impossible_times_are_refused(
    marit: Person, face: Face, occasion: Occasion, field: str
) -> None:
    with pytest.raises(Refused) as refused:
        start_report(
            museum_object=face.museum_object,
            kind=ReportKind.BASELINE,
            faces=[face],
            reason=make_word(Vocabulary.REPORT_REASON, "loan"),
            occasion=occasion,
            **doing(marit),
        )
    assert [reason.field for reason in refused.value.reasons] == [field]
    assert not ConditionReport.objects.exists()


def test_nobody_is_made_to_invent_a_time(marit: Person, face: Face) -> None:
    report = start_report(
        museum_object=face.museum_object,
        kind=ReportKind.BASELINE,
        faces=[face],
        reason=make_word(Vocabulary.REPORT_REASON, "loan"),
        occasion=Occasion(certainty=Certainty.NOT_KNOWN),
        **doing(marit),
    )
    assert "condition.when" not in codes(report)


def test_a_face_of_another_object_is_refused(marit: Person, face: Face) -> None:
    with pytest.raises(Refused, match="does not belong to"):
        start_draft(make_object(), by=marit, faces=[face])


def test_a_struck_draft_stays_and_blocks_nothing(marit: Person, face: Face) -> None:
    report = start_draft(faces=[face], by=marit)
    with pytest.raises(Refused, match="why the draft is struck"):
        strike_draft(report=report, why="", **doing(marit))
    strike_draft(report=report, why="wrong object on the bench", **doing(marit))
    with pytest.raises(Refused, match="was struck"):
        make_finding(report, face, by=marit)
    assert start_draft(faces=[face], by=marit).report_no != report.report_no


def test_a_recommendation_stays_open_until_it_is_answered(marit: Person, face: Face) -> None:
    report = start_draft(faces=[face], by=marit)
    advice = recommend(report=report, about=Advice.HOUSING, text="Sink mat.", **doing(marit))
    with pytest.raises(Refused, match="not signed yet"):
        answer_recommendation(recommendation=advice, text="Made.", **doing(marit))
    fill_draft(report, by=marit)
    make_finding(report, face, by=marit)
    sign_as_author(report, by=marit)
    answer_recommendation(recommendation=advice, text="Made.", **doing(marit))
    assert advice.answers.get().text == "Made."


def test_two_reports_compare_feature_by_feature(marit: Person, face: Face) -> None:
    first = make_signed(face.museum_object, by=marit, findings=2)
    later = start_draft(face.museum_object, by=marit, at=LATER, kind=ReportKind.CALL_BACK)
    grown, _ = later.observations.order_by("feature__number")
    sight = Sight(
        term=term(), state=FeatureState.WORSE, zone="C2", severity=2, length_mm=Decimal(31)
    )
    answer_feature(observation=grown, sight=sight, revision=1, **doing(marit, at=LATER))
    make_finding(later, face, by=marit, at=LATER)
    both = compare(first, later)
    assert [(row.number, row.outcome.value, row.grown_mm) for row in both.features] == [
        (1, "worse", "+17 mm"), (2, "not looked at", ""), (3, "new", ""),
    ]  # fmt: skip
    with pytest.raises(ValueError, match="two objects"):
        compare(first, start_draft(faces=[make_face()], by=marit))


@pytest.mark.parametrize("features", [1, 3])
def test_known_features_are_one_query(
    marit: Person, face: Face, features: int, django_assert_num_queries: Any
) -> None:
    make_signed(face.museum_object, by=marit, findings=features)
    with django_assert_num_queries(1):
        rows = known_features(face.museum_object)
        assert [row.term.label for row in rows] == ["split at fold"] * features


def test_the_place_of_the_look_is_asked_for(marit: Person, face: Face) -> None:
    report = start_draft(faces=[face], by=marit, where=make_place())
    report.where = None
    report.keep(by=marit, role="", why="test", at=AT)
    assert "condition.where" in codes(report)
