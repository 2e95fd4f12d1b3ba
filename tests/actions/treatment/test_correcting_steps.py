"""A step written wrongly is written again: the old line stays readable and counts nowhere."""

from datetime import timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.db import IntegrityError, transaction

from lifecycle.actions.refusals import Refused
from lifecycle.actions.treatment import (
    MediumTested,
    decide_deviation,
    log_step,
    pair_pictures,
    start_report,
)
from lifecycle.actions.treatment.reporting import treated_beside
from lifecycle.actions.whole_reports import missing_of_report
from lifecycle.papers.filling.treatment_report import treatment_report_words
from lifecycle.process.bench_cautions import Trait
from lifecycle.process.stages import Role, Stage
from lifecycle.process.words import LightKind, ReportKind
from lifecycle.queries.condition.events import happenings
from lifecycle.queries.signed_text.registry import digest_of, text_of
from lifecycle.queries.treatment.bench import bench_of
from lifecycle.queries.treatment.cautions import at_bench
from lifecycle.queries.treatment.facts import treated_faces
from lifecycle.queries.treatment.materials import treated_objects, treated_with
from lifecycle.queries.treatment.on_showing import on_showing
from lifecycle.queries.treatment.reading import whole_proposals
from lifecycle.queries.treatment.traits import traits_of
from lifecycle.records.models.treatment import (
    Decision,
    Proposal,
    SpotLiquid,
    SpotOutcome,
    StepPicture,
    TreatmentStep,
)
from lifecycle.records.models.work import Message
from tests.actions.treatment.lab import Lab
from tests.builders.core import AT, kept_by, make_face, make_object
from tests.builders.treatment import (
    HOUR,
    done,
    hand_of,
    make_material,
    make_picture,
    make_signed_report,
    put_at,
    step_word,
)

pytestmark = pytest.mark.django_db
DONE = AT + HOUR


def again(lab: Lab, wrong: TreatmentStep, code: str = "mend", **values: Any) -> TreatmentStep:
    values.setdefault("at", wrong.observed_at)
    return lab.log(code, corrects=wrong, **values)


def test_hours_and_materials_count_the_line_that_stands_and_not_the_one_written_wrongly(
    lab: Lab,
) -> None:
    wrong = lab.log(material=lab.glue, concentration=Decimal(5), hours=Decimal(9))
    other = make_material("starch paste", batch="2")
    right = again(lab, wrong, material=other, concentration=Decimal(5), hours=Decimal("0.5"))
    assert (right.corrects, TreatmentStep.objects.count()) == (wrong, 2)
    bench = bench_of(lab.proposal, AT + 2 * HOUR)
    assert bench.hours == "0.5"
    assert [(line.step.pk, line.struck) for line in bench.lines] == [
        (wrong.pk, True),
        (right.pk, False),
    ]
    assert treated_with(lab.glue) == []
    assert treated_objects([lab.glue], with_bay=False) == []
    assert [step.pk for step in treated_with(other)] == [right.pk]


def test_the_pictures_of_the_old_line_stay_with_the_new_one(lab: Lab) -> None:
    old = make_picture(lab.face, taken_at=AT, light="diffuse")  # type: ignore[arg-type]
    wrong = lab.log(pictures=[old])
    new = make_picture(lab.face, taken_at=AT, light="raking")  # type: ignore[arg-type]
    right = again(lab, wrong, pictures=[new])
    kept = StepPicture.objects.filter(step=right).order_by("pk")
    assert [row.picture for row in kept] == [old, new]


@pytest.mark.parametrize("stage", [Stage.MOUNTING, Stage.RETURNED])
def test_a_line_is_put_right_long_after_with_what_covered_it_then(lab: Lab, stage: Stage) -> None:
    wrong = lab.log(material=lab.glue, concentration=Decimal(5))
    put_at(lab.showing, stage)
    lab.thing.source_community = "Tern Ferry families"
    lab.thing.keep(**kept_by())
    right = again(lab, wrong, material=lab.glue, concentration=Decimal(4), result="Held well.")
    assert right.version == wrong.version
    with pytest.raises(Refused, match="no consent for v1"):
        again(lab, right, "wash")
    with pytest.raises(Refused, match="no consent for v1"):
        again(lab, right, material=lab.glue, concentration=Decimal(6))
    with pytest.raises(Refused, match="no consent for v1"):
        again(lab, right, face=lab.face)
    with pytest.raises(Refused, match="no consent for v1"):
        again(lab, right, material=lab.paste)


def test_a_step_moved_to_before_its_consent_or_into_an_emergency_is_asked_anew(lab: Lab) -> None:
    wrong = lab.log()
    with pytest.raises(Refused, match="no consent for v1"):
        again(lab, wrong, at=AT - HOUR)
    right = again(lab, wrong, emergency=True, emergency_reason="A flake lifted.")
    assert (right.version, right.emergency) == (None, True)


def test_what_is_counted_elsewhere_counts_the_line_that_stands_too(lab: Lab) -> None:
    wrong = lab.log("wash", removed="A hinge.", removed_where="File.", at=AT + 2 * HOUR)
    other = make_face(lab.thing, order=2)
    again(lab, wrong, "mend", face=other, at=AT + HOUR)
    proposal = whole_proposals(Proposal.objects.filter(pk=lab.proposal.pk)).get()
    assert treated_faces(proposal, [lab.face, other]) == [other]
    said: dict[str, Any] = {"by": lab.marit, "role": Role.CONSERVATOR}
    draft = start_report(**said, at=AT + 3 * HOUR, proposal=lab.proposal)
    check = make_signed_report(
        lab.thing, ReportKind.AFTER_TREATMENT, examined_at=AT + timedelta(minutes=90)
    )
    draft.after_check = check
    missing = [r.field for r in missing_of_report(draft, proposal, lab.marit, AT + 3 * HOUR)]
    assert "removed_kept_where" not in missing
    assert "after_check" not in missing
    pictures = [
        make_picture(other, taken_at=at, light=LightKind.DIFFUSE)
        for at in (AT, AT + timedelta(minutes=90))
    ]
    before, after = pictures
    assert pair_pictures(
        **said, at=AT + 3 * HOUR, report=draft, face=other, before=before, after=after
    ).pk
    told = [one.what for one in happenings(lab.thing, since=AT - HOUR, until=AT + 4 * HOUR)]
    assert "treatment: mend" in told
    assert "treatment: wash" not in told


def test_a_strength_that_was_not_written_down_is_asked_of_the_consent(lab: Lab) -> None:
    wrong = lab.log(material=lab.glue)
    lab.thing.source_community = "Tern Ferry families"
    lab.thing.keep(**kept_by())
    assert again(lab, wrong, material=lab.glue).version == wrong.version
    with pytest.raises(Refused, match="no consent for v1"):
        again(lab, wrong.corrected_by.get(), material=lab.glue, concentration=Decimal(5))


def test_only_what_a_consent_covers_stands_for_a_line(lab: Lab) -> None:
    wrong = lab.log()
    with pytest.raises(Refused, match="speaks for fill"):
        again(lab, wrong, "fill")
    with pytest.raises(Refused, match="speaks for mend"):
        again(lab, wrong, material=make_material("other glue"))
    assert again(lab, wrong, "wash").version == wrong.version


def test_an_emergency_is_put_right_as_an_emergency_or_under_a_consent_that_was_there(
    lab: Lab,
) -> None:
    wrong = lab.log("fill", emergency=True, emergency_reason="A flake lifts.")
    told = Message.objects.count()
    with pytest.raises(Refused, match="speaks for fill"):
        again(lab, wrong, "fill")
    right = again(lab, wrong, "fill", emergency=True, emergency_reason="Two flakes lift.")
    assert Message.objects.count() == told
    assert again(lab, right).version is not None


def test_one_line_is_written_again_once_and_its_correction_after_it(lab: Lab) -> None:
    wrong = lab.log()
    right = again(lab, wrong)
    with pytest.raises(Refused, match="was written again already"):
        again(lab, wrong)
    assert again(lab, right).corrects == right
    row = TreatmentStep.objects.get(pk=right.pk)
    row.pk, row.uid, row._state.adding = None, uuid4(), True
    with pytest.raises(IntegrityError), transaction.atomic():
        row.append()


def test_a_correction_tells_nothing_that_was_done_since_nor_of_another_log(lab: Lab) -> None:
    wrong = lab.log()
    later = wrong.entered_at + timedelta(minutes=5)
    with pytest.raises(Refused) as refused:
        again(lab, wrong, at=later)
    assert [reason.code for reason in refused.value.reasons] == ["step.since"]
    with pytest.raises(Refused) as refused:
        again(lab, wrong, under=False, emergency=True, emergency_reason="No.")
    assert "logged elsewhere" in str(refused.value)
    lab.thing = make_object()
    with pytest.raises(Refused, match="does not belong to"):
        again(lab, wrong)


def test_a_deviation_is_not_corrected_away_and_what_was_agreed_is_asked_again(lab: Lab) -> None:
    wrong = lab.log(deviation=True, deviation_why="Thicker.")
    with pytest.raises(Refused) as refused:
        again(lab, wrong)
    assert [reason.code for reason in refused.value.reasons] == ["step.deviation"]
    curator = hand_of(lab.wen, Role.CURATOR)
    decide_deviation(hand=curator, at=AT + HOUR, step=wrong, decision=Decision.AGREE)
    lab.log(at=AT + 2 * HOUR)
    right = again(lab, wrong, deviation=True, deviation_why="Thicker, and longer.")
    with pytest.raises(Refused, match="clock"):
        lab.log(at=AT + 3 * HOUR)
    with pytest.raises(Refused, match="decide on the line that stands for it now"):
        decide_deviation(hand=curator, at=AT + 3 * HOUR, step=wrong, decision=Decision.AGREE)
    decide_deviation(hand=curator, at=AT + 3 * HOUR, step=right, decision=Decision.AGREE)
    assert lab.log(at=AT + 4 * HOUR).pk


def test_a_deviation_nobody_agreed_to_is_put_right_and_its_correction_alone_is_asked(
    lab: Lab,
) -> None:
    wrong = lab.log(deviation=True, deviation_why="Thicker.")
    right = again(lab, wrong, deviation=True, deviation_why="Thicker, and longer.")
    curator = hand_of(lab.wen, Role.CURATOR)
    decide_deviation(hand=curator, at=AT + 2 * HOUR, step=right, decision=Decision.AGREE)
    assert lab.log(at=AT + 3 * HOUR).pk


def test_a_lining_that_was_written_down_in_error_is_none(lab: Lab) -> None:
    wrong = lab.log("line", face=lab.face, emergency=True, emergency_reason="It parts.")
    assert at_bench(lab.thing).lined == {lab.face.pk}
    again(lab, wrong, "mend", face=lab.face)
    assert at_bench(lab.thing).lined == frozenset()


def test_while_the_clock_stands_still_what_was_written_wrongly_is_still_put_right(
    lab: Lab,
) -> None:
    wrong = lab.log()
    lab.log(deviation=True, deviation_why="Thicker.")
    assert again(lab, wrong, result="It did not hold.").pk


def test_beside_each_deviation_stands_who_agreed_or_who_has_not(lab: Lab) -> None:
    step = lab.log(deviation=True, deviation_why="Thicker.")

    def beside() -> tuple[str, bool]:
        (view,) = on_showing(lab.showing, AT + 3 * HOUR).proposals
        line = next(one for one in view.lines if one.step.pk == step.pk)
        return line.deviation, line.waits

    assert beside() == ("waits for the curator", True)
    curator = hand_of(lab.wen, Role.CURATOR)
    no = {"decision": Decision.REFUSE, "limits": "Too thick."}
    decide_deviation(hand=curator, at=AT + HOUR, step=step, **no)  # type: ignore[arg-type]
    assert beside() == ("Wen Castellane answered “refuse”", True)
    decide_deviation(hand=curator, at=AT + 2 * HOUR, step=step, decision=Decision.AGREE)
    assert beside() == ("agreed: Wen Castellane, Tue 2 Jun 2026", False)


def test_a_spot_test_written_wrongly_warns_no_longer_its_correction_does(lab: Lab) -> None:
    def tested(outcome: SpotOutcome) -> MediumTested:
        return MediumTested(medium="pink lake", liquid=SpotLiquid.WATER, outcome=outcome)

    wrong = lab.log("test", emergency=True, emergency_reason="x", test=tested(SpotOutcome.RAN))
    assert Trait.RAN_IN_WATER in traits_of(lab.thing)
    right = again(
        lab,
        wrong,
        "test",
        emergency=True,
        emergency_reason="x",
        test=tested(SpotOutcome.NOTHING),
    )
    assert Trait.RAN_IN_WATER not in traits_of(lab.thing)
    again(lab, right, "test", emergency=True, emergency_reason="x", test=tested(SpotOutcome.RAN))
    assert Trait.RAN_IN_WATER in traits_of(lab.thing)


def test_the_report_strikes_the_old_line_and_counts_the_one_that_stands_for_it(lab: Lab) -> None:
    wrong = lab.log(material=lab.glue, hours=Decimal(9), removed="A hinge.", removed_where="File.")
    again(lab, wrong, material=lab.paste, hours=Decimal("0.5"))
    lab.log(deviation=True, deviation_why="Thicker.", hours=Decimal(1))
    said: dict[str, Any] = {"by": lab.marit, "role": Role.CONSERVATOR}
    report = start_report(**said, at=AT + 2 * HOUR, proposal=lab.proposal)
    words = treatment_report_words(report, AT + 3 * HOUR)
    assert [line.what for line in words.steps] == [
        "mend (struck: line 2 stands for it)",
        "mend (puts line 1 right)",
        "mend",
    ]
    assert (words.hours, len(words.materials), words.removed) == ("1.5 h", 1, ())
    assert "Deviation: Thicker. Not decided yet." in words.steps[2].result
    assert "Puts right the line entered" in text_of(report)


def test_what_is_put_right_after_the_report_was_signed_leaves_its_words_alone(lab: Lab) -> None:
    wrong = lab.log(hours=Decimal(9))
    said: dict[str, Any] = {"by": lab.marit, "role": Role.CONSERVATOR}
    report = start_report(**said, at=AT + 2 * HOUR, proposal=lab.proposal)
    report.summary = report.not_done = report.remaining_risks = report.new_limits = "Said."
    report.after_check = make_signed_report(lab.thing, ReportKind.AFTER_TREATMENT)
    report.signed_text = text_of(report)
    report.digest, report.signed_at = digest_of(report.signed_text), AT + 2 * HOUR
    report.keep(**kept_by())
    log_step(
        **said,
        at=AT + 3 * HOUR,
        museum_object=lab.thing,
        proposal=lab.proposal,
        done=done(step_word("mend"), at=wrong.observed_at, corrects=wrong),
    )
    assert text_of(report) == report.signed_text
    words = treatment_report_words(report, AT + 4 * HOUR)
    assert ([line.what for line in words.steps], words.hours) == (["mend"], "9 h")
    assert treated_beside(report, lab.proposal) == set()
