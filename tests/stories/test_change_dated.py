"""A change found at de-install is dated from reports and looks.

The span between two looks is common practice. Years: the exhibition of 2026.
"""

from datetime import UTC, datetime
from decimal import Decimal
from types import SimpleNamespace
from typing import Any, cast

import pytest

from lifecycle.actions.case_openings import Opening, record_opening
from lifecycle.actions.condition.deinstall import record_as_found
from lifecycle.actions.condition.head import save_conclusions
from lifecycle.actions.condition.looking import put_face_picture
from lifecycle.actions.condition.sign import correct_report
from lifecycle.actions.condition.verdict import give_verdict
from lifecycle.actions.refusals import Refused
from lifecycle.process.stages import Role
from lifecycle.process.words import (
    CompareResult,
    FeatureState,
    LookVerdict,
    PlaceKind,
    ReportKind,
)
from lifecycle.queries.condition.dating import Dating, dating
from lifecycle.queries.condition.sheet import report_sheet
from lifecycle.records.models import (
    ClimateReading,
    DisplayPeriod,
    Face,
    Look,
    MuseumObject,
    Person,
    Place,
    Showing,
    WhyOpened,
)
from lifecycle.records.models.condition import ChangeVerdict, ConditionReport, Observation
from lifecycle.records.models.condition.words import AsPlaced
from lifecycle.records.models.display.periods import PeriodOpening
from lifecycle.records.models.light import NotReached
from tests.builders.condition import (
    conclusions_with,
    fill_draft,
    make_finding,
    make_picture,
    make_signed,
    sign_as_author,
    start_draft,
    term,
)
from tests.builders.core import (
    kept_by,
    make_face,
    make_object,
    make_person,
    make_place,
    make_showing,
)
from tests.builders.display_rows import Ground, assessment

pytestmark = pytest.mark.django_db


def on(month: int, day: int, hour: int = 10) -> datetime:
    return datetime(2026, month, day, hour, tzinfo=UTC)


class Summer:
    """The wind chart from its baseline to the bench, as the story tells it."""

    def __init__(self) -> None:
        self.marit: Person = make_person(Role.CONSERVATOR, name="Marit Oldacre")
        self.chart: MuseumObject = make_object(object_number="HCM.M.88", title="Wind chart")
        self.face: Face = make_face(self.chart, label="front")
        self.showing: Showing = make_showing(museum_object=self.chart)
        self.case: Place = make_place(kind=PlaceKind.CASE)
        self.place: Place = make_place(parent=self.case)
        self.baseline: ConditionReport = make_signed(
            self.chart, by=self.marit, at=on(2, 20), findings=0
        )
        DisplayPeriod(
            showing=self.showing,
            museum_object=self.chart,
            face=self.face,
            place=self.place,
            opened_by=PeriodOpening.INSTALL,
            opened_at=on(3, 12),
            closed_at=on(9, 7),
        ).keep(**kept_by())

    def look(self, at: datetime, *, verdict: str = "", hint: str = "", **values: Any) -> None:
        Look(
            museum_object=self.chart,
            showing=self.showing,
            face=self.face,
            place=self.place,
            verdict=verdict,
            note=hint,
            looked_at=at,
            looked_by=self.marit,
            entered_at=at,
            entered_by=self.marit,
            **values,
        ).append()

    def case_opened_for_another(self, at: datetime) -> None:
        other = make_object(object_number="HCM.1951.3.2")
        DisplayPeriod(
            showing=make_showing(museum_object=other),
            museum_object=other,
            face=make_face(other),
            place=make_place(parent=self.case),
            opened_by=PeriodOpening.INSTALL,
            opened_at=at,
        ).keep(**kept_by())

    def air(self, at: datetime, rh: int) -> None:
        ClimateReading(
            place=self.case,
            t_c=23,
            rh=rh,
            read_at=at,
            read_by=self.marit,
            entered_at=at,
            entered_by=self.marit,
        ).append()

    def bench(self, at: datetime) -> ConditionReport:
        return start_draft(
            self.chart,
            kind=ReportKind.DEINSTALL_AT_BENCH,
            by=self.marit,
            at=at,
            showing=self.showing,
        )


@pytest.fixture
def summer() -> Summer:
    story = Summer()
    hint = "fold at bottom centre?"
    story.look(on(5, 3), verdict=LookVerdict.AS_PICTURE, hint=hint)
    story.look(on(7, 12), verdict=LookVerdict.AS_PICTURE, hint=hint)
    for day in (9, 23):
        story.look(on(8, day), not_looked=NotReached.NOT_REACHED, not_reached_because="not reached")
    story.air(on(7, 2), 49)
    story.air(on(7, 22), 36)
    story.air(on(8, 20), 52)
    story.case_opened_for_another(on(7, 20))
    record_opening(
        place=story.case,
        opening=Opening(why=WhyOpened.CAPTION_REPLACED, opened_at=on(8, 10), opened_by=story.marit),
        by=story.marit,
        role=Role.CONSERVATOR,
        at=on(8, 10),
    )
    return story


@pytest.fixture
def split(summer: Summer) -> Observation:
    """The de-install form finds a split of 14 mm at fold C2 on 8 September."""
    for number in range(8):  # F1 to F8 are known from elsewhere on the chart
        earlier = start_draft(summer.chart, by=summer.marit, at=on(2, 20, 12 + number))
        make_finding(earlier, summer.face, by=summer.marit, zone="A1", term=term("stain"))
    return make_finding(summer.bench(on(9, 8)), summer.face, by=summer.marit)


def read(split: Observation) -> Dating:
    return dating(
        Observation.objects.select_related("feature__face", "report__museum_object").get(
            pk=split.pk
        )
    )


def test_the_new_feature_is_f9_and_a_first_record(split: Observation) -> None:
    assert (split.feature.number, split.state) == (9, FeatureState.FIRST_RECORD)
    assert (split.zone, split.length_mm) == ("C2", Decimal(14))


def test_last_seen_unchanged_is_the_round_of_12_july_through_glass(split: Observation) -> None:
    answer = read(split)
    assert answer.last_unchanged is not None
    assert answer.last_unchanged.at == on(7, 12)
    assert answer.last_unchanged.source == "look in the gallery, through glass"
    assert answer.last_unchanged.hint == "fold at bottom centre?"


def test_first_seen_changed_is_the_bench_of_8_september(split: Observation) -> None:
    answer = read(split)
    assert answer.first_changed.at == on(9, 8, 9)
    assert answer.first_changed.report == split.report
    assert answer.days == 57


def test_what_happened_between_is_named_in_time_order(split: Observation, summer: Summer) -> None:
    """The case opened on 20 July, the low of 22 July, the captions of 10 August.

    What lies outside the interval (the reading of 2 July) is not told.
    """
    assert [(event.at, event.kind, event.what) for event in read(split).between] == [
        (on(7, 20), "case", "case opened: HCM.1951.3.2 installed"),
        (on(7, 22), "air", "lowest humidity read: 36 % RH, 23 °C"),
        (on(8, 9), "round", "round of Marit Oldacre: not reached"),
        (on(8, 10), "case", "case opened: caption replaced"),
        (on(8, 20), "air", "highest humidity read: 52 % RH, 23 °C"),
        (on(8, 23), "round", "round of Marit Oldacre: not reached"),
        (on(9, 7), "display", f"taken off show in {summer.place}: front"),
    ]


def conclude(report: ConditionReport, result: CompareResult, *, at: datetime) -> None:
    save_conclusions(
        report=report,
        conclusions=conclusions_with(report, result=result),
        revision=report.conclusions_revision,
        by=report.entered_by,
        role=Role.CONSERVATOR,
        at=at,
    )


def test_air_outside_the_band_of_the_assessment_is_an_excursion(
    split: Observation, summer: Summer
) -> None:
    ground = cast(Ground, SimpleNamespace(showing=summer.showing))
    signed = {"digest": "0" * 64, "signed_text": "Said.", "signed_at": on(3, 1)}
    assessment(ground, rh_min=45, rh_max=55, **signed)
    said = [event.what for event in read(split).between if event.kind == "air"]
    assert "air outside 45 to 55 % RH: 36 % RH at the furthest, one reading" in said


def test_part_a_that_says_nothing_of_it_is_no_proof(split: Observation, summer: Summer) -> None:
    """A glance proves only what it answers, or that nothing further was seen on the face."""
    part_a = start_draft(
        summer.chart,
        kind=ReportKind.DEINSTALL_AT_CASE,
        by=summer.marit,
        at=on(9, 7),
        showing=summer.showing,
    )
    as_found = {"by": summer.marit, "role": Role.CONSERVATOR, "at": on(9, 7)}
    record_as_found(
        report=part_a,
        as_placed=AsPlaced.AS_PLACED,
        picture=make_picture(summer.face, at=on(9, 7)),
        **as_found,  # type: ignore[arg-type]
    )
    conclude(part_a, CompareResult.NO_CHANGE_SEEN, at=on(9, 7))
    sign_as_author(part_a, by=summer.marit, at=on(9, 7))
    answer = read(split)
    assert answer.last_unchanged is not None
    assert answer.last_unchanged.at == on(7, 12)
    assert answer.did_not_look[-1].report == part_a
    corrected = correct_report(report=part_a, note="The face was looked over.", **as_found)  # type: ignore[arg-type]
    face = corrected.report_faces.get()
    put_face_picture(row=face, picture=face.picture, nothing_further=True, **as_found)  # type: ignore[arg-type]
    sign_as_author(corrected, by=summer.marit, at=on(9, 7))
    answer = read(split)
    assert answer.last_unchanged is not None
    assert answer.last_unchanged.report == corrected


def test_a_change_that_a_glance_in_between_saw_was_first_seen_there(summer: Summer) -> None:
    """Part B is compared with the baseline; a round's report of May has said 'worse' already."""
    first = make_signed(summer.chart, by=summer.marit, at=on(2, 21))
    looked = start_draft(summer.chart, kind=ReportKind.IN_DISPLAY, by=summer.marit, at=on(8, 15))
    for report, at in ((looked, on(8, 15)), (summer.bench(on(9, 8)), on(9, 8))):
        row = report.observations.get()
        row.state = FeatureState.WORSE
        row.keep(by=summer.marit, role=Role.CONSERVATOR, why="test", at=at)
    conclude(looked, CompareResult.CHANGE_SEEN, at=on(8, 15))
    sign_as_author(looked, by=summer.marit, at=on(8, 15))
    answer = read(row)
    assert answer.last_unchanged is not None
    assert (answer.last_unchanged.at, answer.first_changed.report) == (on(7, 12), looked)
    assert row.report.compared_with == first


def test_the_rounds_of_august_did_not_look_there(split: Observation) -> None:
    looks = read(split).did_not_look
    assert [(look.at, look.hint) for look in looks] == [
        (on(8, 9), "not reached"),
        (on(8, 23), "not reached"),
    ]


def test_two_pictures_stand_side_by_side(split: Observation, summer: Summer) -> None:
    covered = summer.baseline.report_faces.get().picture
    fill_draft(split.report, by=summer.marit, at=on(9, 8), result="change_seen")
    answer = read(split)
    assert covered is not None
    assert (answer.picture_before, bool(answer.picture_after)) == (covered.sha256, True)


def test_the_verdict_is_a_person_s_and_keeps_the_interval(
    split: Observation, summer: Summer
) -> None:
    report = split.report
    report.refresh_from_db()
    assert [row.seen for row in report_sheet(report).unanswered] == [split]
    with pytest.raises(Refused, match="Write what you conclude"):
        give_verdict(
            observation=split, verdict=" ", by=summer.marit, role=Role.CONSERVATOR, at=on(9, 9)
        )
    give_verdict(
        observation=split,
        verdict="The fold opened when the air fell dry.",
        cause="low humidity of July",
        by=summer.marit,
        role=Role.CONSERVATOR,
        at=on(9, 9),
    )
    verdict = ChangeVerdict.objects.get()
    assert (verdict.last_unchanged_at, verdict.first_changed_at) == (on(7, 12), on(9, 8, 9))
    assert verdict.last_unchanged_source == "look in the gallery, through glass"
    assert "case opened" in verdict.between
    assert "not reached" in verdict.did_not_look
    assert report_sheet(report).unanswered == ()


def test_a_flag_in_between_is_a_hint_and_no_proof(split: Observation, summer: Summer) -> None:
    summer.look(on(8, 30), verdict=LookVerdict.LOOK_AGAIN, hint="fold at C2 open?")
    answer = read(split)
    assert answer.last_unchanged is not None
    assert answer.last_unchanged.at == on(7, 12)
    assert [look.hint for look in answer.flagged] == ["fold at C2 open?"]


def test_a_feature_that_was_never_seen_unchanged_says_so() -> None:
    marit = make_person(Role.CONSERVATOR)
    face = make_face()
    report = start_draft(faces=[face], by=marit)
    answer = read(make_finding(report, face, by=marit))
    assert (answer.last_unchanged, answer.days) == (None, None)


def test_reports_that_did_not_look_at_a_known_feature_prove_nothing() -> None:
    """'Not looked at' and 'could not be seen' are answers, different from 'no change'."""
    marit = make_person(Role.CONSERVATOR)
    face = make_face()
    first = make_signed(face.museum_object, by=marit, at=on(2, 1))
    blind = start_draft(faces=[face], by=marit, at=on(4, 1), kind=ReportKind.CALL_BACK)
    row = blind.observations.get()
    row.note = "under the mount"
    row.state = FeatureState.COULD_NOT_BE_SEEN
    row.keep(by=marit, role=Role.CONSERVATOR, why="test", at=on(4, 1))
    fill_draft(blind, by=marit, at=on(4, 1), nothing_to_note=True)
    sign_as_author(blind, by=marit, at=on(4, 1))
    today = start_draft(faces=[face], by=marit, at=on(6, 1), kind=ReportKind.CALL_BACK)
    worse = today.observations.get()
    worse.state = FeatureState.WORSE
    worse.keep(by=marit, role=Role.CONSERVATOR, why="test", at=on(6, 1))
    answer = read(worse)
    assert answer.last_unchanged is not None
    assert answer.last_unchanged.report == first
    assert [look.report for look in answer.did_not_look] == [blind]
