"""Consent first, in the demo museum's names and numbers (invented setting)."""

from datetime import timedelta

import pytest

from lifecycle.actions.refusals import Refused
from lifecycle.actions.treatment import LeftOut, StepDraft, log_step, next_version, send_version
from lifecycle.actions.treatment.writing import write_version
from lifecycle.process.stages import Role, Stage
from lifecycle.process.words import FaceKind
from lifecycle.queries.treatment.bench import bench_of
from lifecycle.records.models import Counter, Face, Showing
from lifecycle.records.models.treatment import (
    Decision,
    Proposal,
    ProposalVersion,
    TreatmentStep,
)
from tests.builders.core import (
    AT,
    make_exhibition,
    make_face,
    make_museum,
    make_object,
    make_person,
    make_showing,
)
from tests.builders.treatment import (
    HOUR,
    agree,
    done,
    draft,
    hand_of,
    make_proposal,
    put_at,
    step_word,
)

LIMITS = "no humidification of ff. 88v-89r"


class Diary:
    """Hester Plym's weather diary with TP-0031: v1 sent, v2 sent and not answered."""

    def __init__(self) -> None:
        make_museum()
        self.marit = make_person(Role.CONSERVATOR, name="Marit Oldacre")
        self.wen = make_person(Role.CURATOR, name="Wen Castellane")
        exhibition = make_exhibition(short="RBN")
        exhibition.curators.add(self.wen)
        diary = make_object(object_number="HCM.1908.12", title="Weather diary of Hester Plym")
        self.a: Face = make_face(diary, kind=FaceKind.OPENING, label="ff. 31v-32r")
        self.b: Face = make_face(diary, kind=FaceKind.OPENING, label="ff. 88v-89r", order=2)
        self.showing: Showing = make_showing(exhibition=exhibition, museum_object=diary)
        Counter.objects.create(prefix="TP", last=30)
        steps = (StepDraft(step=step_word("mend", "mending")), StepDraft(step=step_word("press")))
        self.proposal: Proposal = make_proposal(self.marit, showing=self.showing, steps=steps)
        marit = hand_of(self.marit, Role.CONSERVATOR)
        self.v1: ProposalVersion = send_version(
            hand=marit, at=AT, version=self.proposal.versions.get()
        )
        v2 = next_version(
            by=self.marit, role=Role.CONSERVATOR, at=AT + HOUR, proposal=self.proposal
        )
        humid = (*steps, StepDraft(step=step_word("humidify", "humidification")))
        write_version(
            by=self.marit,
            role=Role.CONSERVATOR,
            at=AT + HOUR,
            version=v2,
            edition=1,
            draft=draft(based_on=v2.based_on, steps=humid, materials=()),
        )
        self.v2: ProposalVersion = send_version(hand=marit, at=AT + HOUR, version=v2)
        put_at(self.showing, Stage.TREATMENT)

    def log(self, code: str, *, after_hours: int, face: Face | None = None) -> TreatmentStep:
        at = AT + timedelta(hours=after_hours)
        return log_step(
            by=self.marit,
            role=Role.CONSERVATOR,
            at=at,
            museum_object=self.showing.museum_object,
            proposal=self.proposal,
            done=done(step_word(code), at=at, face=face),
        )


@pytest.fixture
def diary(db: None) -> Diary:
    return Diary()


def test_a_mending_step_is_refused_while_v2_is_not_answered(diary: Diary) -> None:
    assert diary.proposal.proposal_no == "TP-0031"
    with pytest.raises(Refused) as refused:
        diary.log("mend", after_hours=2)
    assert [reason.code for reason in refused.value.reasons] == ["consent.missing"]
    assert "no consent for v2" in str(refused.value)
    assert "TP-0031" in str(refused.value)
    assert not TreatmentStep.objects.exists()


def test_after_agreeing_within_limits_the_step_is_accepted_and_the_limits_are_shown(
    diary: Diary,
) -> None:
    agree(
        diary.wen,
        diary.v2,
        at=AT + 3 * HOUR,
        decision=Decision.AGREE_WITHIN_LIMITS,
        limits=LIMITS,
        left_out=(LeftOut(step=step_word("humidify"), face=diary.b),),
    )
    step = diary.log("mend", after_hours=4, face=diary.a)
    assert step.version == diary.v2
    bench = bench_of(diary.proposal, AT + 5 * HOUR)
    assert bench.limits == (f"Wen Castellane: {LIMITS}",)


def test_the_one_step_outside_the_limits_is_refused_and_elsewhere_it_goes_on(
    diary: Diary,
) -> None:
    agree(
        diary.wen,
        diary.v2,
        at=AT + 3 * HOUR,
        decision=Decision.AGREE_WITHIN_LIMITS,
        limits=LIMITS,
        left_out=(LeftOut(step=step_word("humidify"), face=diary.b),),
    )
    with pytest.raises(Refused, match=LIMITS):
        diary.log("humidify", after_hours=4, face=diary.b)
    with pytest.raises(Refused, match="where no face is named"):
        diary.log("humidify", after_hours=4)
    assert diary.log("humidify", after_hours=4, face=diary.a).version == diary.v2


def test_consent_to_v1_does_not_serve_for_v2(diary: Diary) -> None:
    agree(diary.wen, diary.v1, at=AT + 2 * HOUR)
    with pytest.raises(Refused, match="no consent for v2"):
        diary.log("humidify", after_hours=3)
    assert diary.log("press", after_hours=3).version == diary.v1


def test_a_step_done_before_the_consent_is_refused_when_it_is_typed_in_later(
    diary: Diary,
) -> None:
    agree(diary.wen, diary.v2, at=AT + 5 * HOUR)
    before = AT + 4 * HOUR
    with pytest.raises(Refused, match="no consent for v2"):
        log_step(
            by=diary.marit,
            role=Role.CONSERVATOR,
            at=AT + 6 * HOUR,
            museum_object=diary.showing.museum_object,
            proposal=diary.proposal,
            done=done(step_word("mend"), at=before),
        )


def test_only_the_treatment_stage_has_steps_under_a_proposal(diary: Diary) -> None:
    agree(diary.wen, diary.v2, at=AT + 3 * HOUR)
    put_at(diary.showing, Stage.EXAMINATION)
    with pytest.raises(Refused, match="begin treatment first"):
        diary.log("mend", after_hours=4)
