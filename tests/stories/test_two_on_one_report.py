"""Two people on one report, and a thin baseline that is refused.

Common practice: a baseline without a picture of the face is too thin to compare with.
"""

from datetime import timedelta

import pytest

from lifecycle.actions.condition.looking import put_face_picture
from lifecycle.actions.condition.sections import save_section
from lifecycle.actions.condition.sign import sign_report
from lifecycle.actions.refusals import Refused
from lifecycle.actions.signing import with_account
from lifecycle.process.stages import Role
from lifecycle.records.models.condition import ConditionReport, NotSeen, ReportSection
from lifecycle.records.models.condition.words import SectionName
from tests.builders.condition import (
    PASSWORD,
    fill_draft,
    make_finding,
    sign_as_author,
    start_draft,
)
from tests.builders.core import AT, make_face, make_object, make_person

pytestmark = pytest.mark.django_db
DIARY = "HCM.1908.12"


@pytest.fixture
def baseline() -> ConditionReport:
    diary = make_object(object_number=DIARY, title="Weather diary of Hester Plym")
    make_face(diary, label="ff. 31v-32r", landmark="Rain all the night")
    marit = make_person(Role.CONSERVATOR, name="Marit Oldacre")
    return start_draft(diary, by=marit)


def test_two_sections_saved_within_a_minute_both_stand(baseline: ConditionReport) -> None:
    marit = baseline.entered_by
    piers = make_person(Role.CONSERVATOR, name="Piers Hallam")
    save_section(
        report=baseline,
        name=SectionName.SUPPORT,
        observed="Laid paper, soft at the gutter.",
        interpretation="",
        revision=0,
        by=marit,
        role=Role.CONSERVATOR,
        at=AT,
    )
    save_section(
        report=baseline,
        name=SectionName.BINDING,
        observed="Upper joint weak over 40 mm.",
        interpretation="Opened too far, often.",
        revision=0,
        by=piers,
        role=Role.CONSERVATOR,
        at=AT + timedelta(seconds=40),
    )
    stand = {
        row.name: (row.observed, row.written_by.full_name)
        for row in ReportSection.objects.filter(report=baseline)
    }
    assert stand == {
        "support": ("Laid paper, soft at the gutter.", "Marit Oldacre"),
        "binding": ("Upper joint weak over 40 mm.", "Piers Hallam"),
    }


def test_a_thin_baseline_is_refused_with_these_two_reasons(baseline: ConditionReport) -> None:
    marit = baseline.entered_by
    fill_draft(baseline, by=marit)
    for row in NotSeen.objects.filter(report=baseline):
        row.taken_back = True
        row.keep(by=marit, role=Role.CONSERVATOR, why="test", at=AT)
    hand = with_account(person=marit, role=Role.CONSERVATOR, password=PASSWORD)
    with pytest.raises(Refused) as refused:
        sign_report(report=baseline, hand=hand, at=AT)
    assert [reason.text for reason in refused.value.reasons] == [
        "No finding is located: mark at least one on the picture or by its zone, "
        "or tick “nothing to note”.",
        "“Not seen” is not filled in: say what could not be seen, "
        "or tick that everything could be seen.",
    ]
    baseline.refresh_from_db()
    assert (baseline.digest, baseline.struck_at) == ("", None)
    assert baseline.sections.get().observed == "Laid paper, folded once."


def test_with_both_mended_it_is_signed(baseline: ConditionReport) -> None:
    marit = baseline.entered_by
    face = baseline.report_faces.get().face
    fill_draft(baseline, by=marit)
    make_finding(baseline, face, by=marit)
    sign_as_author(baseline, by=marit)
    assert baseline.signed
    assert "Finding F1" in baseline.signed_text
    assert "Object number: HCM.1908.12" in baseline.signed_text


def test_a_face_without_a_picture_is_named(baseline: ConditionReport) -> None:
    marit = baseline.entered_by
    face = baseline.report_faces.get()
    fill_draft(baseline, by=marit)
    make_finding(baseline, face.face, by=marit)
    put_face_picture(
        row=face, picture=None, nothing_further=False, by=marit, role=Role.CONSERVATOR, at=AT
    )
    hand = with_account(person=marit, role=Role.CONSERVATOR, password=PASSWORD)
    with pytest.raises(Refused, match="has no picture in this report"):
        sign_report(report=baseline, hand=hand, at=AT)
