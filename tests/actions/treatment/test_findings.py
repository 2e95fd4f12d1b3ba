"""A finding made during treatment: kept with its number, and only those concerned asked again."""

from dataclasses import replace
from typing import Any

import pytest

from lifecycle.actions.objects.faces import FaceDetails
from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.actions.treatment import (
    FoundInTreatment,
    answer_asked_again,
    next_version,
    record_finding,
    send_version,
)
from lifecycle.process.duties import duties
from lifecycle.process.finding_effects import AskedKind
from lifecycle.process.stages import Role, Stage
from lifecycle.process.words import FaceKind, FeatureState, LightKind, ReportKind
from lifecycle.queries.facts import facts_of_one
from lifecycle.queries.treatment.asked_again import asked_rows, with_standing
from lifecycle.records.models import (
    AskedAgain,
    Component,
    Decision,
    Face,
    Observation,
    SensitivityClass,
    Showing,
    StillFits,
    TreatmentFinding,
    TreatmentStep,
    Vocabulary,
)
from tests.actions.treatment.lab import Lab
from tests.builders.condition import start_draft
from tests.builders.core import AT, kept_by, make_person, make_word
from tests.builders.treatment import HOUR, agree, hand_of, make_picture, put_at

pytestmark = pytest.mark.django_db
VERSO = FaceDetails(kind=FaceKind.VERSO, label="under the lining", landmark="A pencilled name")


class Bench(Lab):
    """The laboratory with one step logged, to which findings are added."""

    def __init__(self) -> None:
        super().__init__()
        self.step: TreatmentStep = self.log("mend", face=self.face)

    def find(self, by: Any = None, role: Role = Role.CONSERVATOR, **values: Any) -> Any:
        values.setdefault("face", self.face)
        values.setdefault("term", make_word(Vocabulary.CONDITION_TERM, "inscription"))
        values.setdefault("what", "A line of pencil under the old lining.")
        values.setdefault("observed_at", AT + HOUR)
        if "picture" not in values:
            values["picture"] = make_picture(
                values["face"], taken_at=AT + HOUR, light=LightKind.RAKING
            )
        return record_finding(
            by=by or self.marit,
            role=role,
            at=AT + 2 * HOUR,
            step=self.step,
            found=FoundInTreatment(**values),
        )

    def open(self) -> list[str]:
        return [view.asked.kind for view in with_standing(asked_rows()) if view.open]


@pytest.fixture
def bench() -> Bench:
    return Bench()


def fugitive() -> SensitivityClass:
    return SensitivityClass(code="fugitive", label="Fugitive").keep(**kept_by())


def test_a_finding_has_its_number_at_once_and_the_next_full_report_lists_it(bench: Bench) -> None:
    finding = bench.find(zone="B2")
    assert finding.feature.number == 1
    assert (finding.picture.light, AskedAgain.objects.count()) == (LightKind.RAKING, 0)
    report = start_draft(bench.thing, faces=[bench.face], kind=ReportKind.AFTER_TREATMENT)
    row = Observation.objects.get(report=report, feature=finding.feature)
    assert (row.state, row.zone, row.note) == (FeatureState.FIRST_RECORD, "B2", finding.what)
    assert row.picture == finding.picture
    again = start_draft(bench.thing, faces=[bench.face], kind=ReportKind.AFTER_TREATMENT)
    assert not Observation.objects.filter(report=again, feature=finding.feature).exists()


def test_a_component_and_a_face_go_on_the_card_and_the_consent_is_asked_again(
    bench: Bench,
) -> None:
    finding = bench.find(component_label="loose slip", new_face=VERSO)
    assert Component.objects.get().label == "loose slip"
    assert finding.new_face == Face.objects.get(label="under the lining")
    (asked,) = AskedAgain.objects.all()
    assert (asked.kind, asked.person, asked.role) == (AskedKind.CONSENT, bench.wen, Role.CURATOR)
    assert "this component" in asked.because
    assert "this face" in asked.because


def test_a_new_class_is_put_on_the_face_and_asks_for_its_account_alone(bench: Bench) -> None:
    found = bench.find(class_now=fugitive())
    bench.face.refresh_from_db()
    assert bench.face.sensitivity_class == found.class_now
    assert [row.kind for row in AskedAgain.objects.all()] == [AskedKind.ACCOUNT]


def test_a_consent_is_settled_by_a_next_word_or_a_later_version(bench: Bench) -> None:
    version = bench.proposal.versions.get()
    bench.wen.consents.get()  # her word before the finding does not settle it
    bench.find(plan_change="The lining comes off whole.")
    assert bench.open() == [AskedKind.CONSENT]
    agree(
        bench.wen,
        version,
        at=AT + 3 * HOUR,
        decision=Decision.AGREE_WITHIN_LIMITS,
        limits="Not the slip.",
    )
    assert bench.open() == []


def test_a_later_version_that_was_sent_settles_the_question_for_this_one(bench: Bench) -> None:
    bench.find(plan_change="The lining comes off whole.")
    second = next_version(
        by=bench.marit, role=Role.CONSERVATOR, at=AT + 3 * HOUR, proposal=bench.proposal
    )
    assert bench.open() == [AskedKind.CONSENT]
    send_version(hand=hand_of(bench.marit, Role.CONSERVATOR), at=AT + 3 * HOUR, version=second)
    assert bench.open() == []


def test_what_is_in_doubt_is_a_task_of_whom_it_concerns_and_holds_the_move_up(
    bench: Bench, django_assert_max_num_queries: Any
) -> None:
    bench.find(component_label="loose slip", class_now=fugitive())
    told = facts_of_one(Showing.objects.get(pk=bench.showing.pk), AT + 3 * HOUR)
    facts = replace(told, stage=Stage.TREATMENT)
    asked = [duty for duty in duties(facts) if duty.code == "finding.asked"]
    assert {(duty.role, duty.people) for duty in asked} == {
        (Role.CURATOR, frozenset({bench.wen.pk})),
        (Role.CONSERVATOR, frozenset()),
    }
    with django_assert_max_num_queries(12):
        with_standing(asked_rows())


def test_a_word_settles_what_is_made_and_never_a_consent(bench: Bench) -> None:
    bench.find(component_label="loose slip", class_now=fugitive())
    account = AskedAgain.objects.get(kind=AskedKind.ACCOUNT)
    said: dict[str, Any] = {"role": Role.CONSERVATOR, "at": AT + 3 * HOUR, "by": bench.marit}
    with pytest.raises(Refused, match="what you looked at"):
        answer_asked_again(asked=account, answer=StillFits.STILL_FITS, why="", **said)
    answer_asked_again(asked=account, answer=StillFits.MADE_ANEW, why="Class it again.", **said)
    assert AskedKind.ACCOUNT in bench.open()
    answer_asked_again(asked=account, answer=StillFits.STILL_FITS, why="Under the mat.", **said)
    assert bench.open() == [AskedKind.CONSENT]
    consent = AskedAgain.objects.get(kind=AskedKind.CONSENT)
    with pytest.raises(Refused, match="given again, signed"):
        answer_asked_again(asked=consent, answer=StillFits.STILL_FITS, why="Yes.", **said)
    with pytest.raises(NotAllowed):
        answer_asked_again(
            asked=account,
            answer=StillFits.STILL_FITS,
            why="Yes.",
            **said | {"by": make_person(Role.REGISTRAR), "role": Role.REGISTRAR},
        )


@pytest.mark.parametrize(
    ("field", "values"),
    [
        ("what", {"what": " "}),
        ("observed_at", {"observed_at": AT + 5 * HOUR}),
        ("observed_at", {"observed_at": AT - HOUR}),
        ("component_label", {"component_description": "A slip of paper."}),
        ("new_face_label", {"new_face": replace(VERSO, label="")}),
        (
            "new_face_landmark",
            {"new_face": replace(VERSO, landmark="")},
        ),
    ],
)
def test_what_cannot_be_true_is_refused_beside_its_field_and_nothing_is_kept(
    bench: Bench, field: str, values: dict[str, Any]
) -> None:
    with pytest.raises(Refused) as refused:
        bench.find(**values)
    assert [reason.field for reason in refused.value.reasons] == [field]
    assert not TreatmentFinding.objects.exists()
    assert not Component.objects.exists()


def test_a_picture_without_light_or_of_another_object_is_refused(bench: Bench) -> None:
    dark = make_picture(bench.face, taken_at=AT, light=LightKind.RAKING)
    dark.light = ""
    dark.keep(**kept_by())
    with pytest.raises(Refused, match="in which light"):
        bench.find(picture=dark)
    other = make_picture(Bench().face, taken_at=AT, light=LightKind.RAKING)
    with pytest.raises(Refused, match="another object"):
        bench.find(picture=other)
    assert not TreatmentFinding.objects.exists()


def test_only_who_treats_adds_a_finding(bench: Bench) -> None:
    put_at(bench.showing, Stage.TREATMENT)
    with pytest.raises(NotAllowed):
        bench.find(by=bench.wen, role=Role.CURATOR)
