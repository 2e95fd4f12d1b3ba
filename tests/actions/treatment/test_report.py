"""The treatment report: made from the log, signed when whole, then frozen."""

from datetime import timedelta
from typing import Any

import pytest
from django.db import DatabaseError, transaction

from lifecycle.actions.refusals import Conflict, NotAllowed, Refused
from lifecycle.actions.treatment import (
    log_step,
    pair_pictures,
    second_read,
    sign_report,
    start_report,
    write_report,
)
from lifecycle.process.stages import Role, Stage
from lifecycle.process.words import FaceKind, LightKind, ReportKind
from lifecycle.queries.signed_text.registry import faults_of, kind_of
from lifecycle.queries.treatment import proposal_facts_of
from lifecycle.queries.treatment.consenting import clock_at
from lifecycle.queries.treatment.facts import faces_to_picture, report_in_force
from lifecycle.queries.treatment.reading import housing_advice, whole_proposals
from lifecycle.records.models import Face, HouseRules, Person, Showing
from lifecycle.records.models.treatment import Proposal, TreatmentReport
from tests.builders.core import (
    AT,
    kept_by,
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
    hand_of,
    make_material,
    make_picture,
    make_sent,
    make_signed_report,
    put_at,
    step_word,
)

pytestmark = pytest.mark.django_db
WORDS = {
    "summary": "Two tears were mended from the back.",
    "not_done": "The stain was left as evidence of use.",
    "remaining_risks": "The fold stays weak.",
    "new_limits": "Open to 100° at most.",
    "housing_advice": "Its own folder, flat.",
    "take_off": "",
    "removed_kept_where": "",
    "not_pictured": "",
}


class Treated:
    """One face mended in one step; the report is begun."""

    def __init__(self, *, second: bool = False) -> None:
        make_museum()
        if second:
            HouseRules(
                version=9, source="Test.", valid_from=AT.date(), second_reader_needed=True
            ).keep(**kept_by())
        self.marit: Person = make_person(Role.CONSERVATOR, name="Marit Oldacre")
        wen = make_person(Role.CURATOR)
        exhibition = make_exhibition()
        exhibition.curators.add(wen)
        thing = make_object()
        self.face: Face = make_face(thing, label="recto")
        self.other: Face = make_face(thing, label="verso", order=2)
        self.showing: Showing = make_showing(exhibition=exhibition, museum_object=thing)
        version = make_sent(self.marit, showing=self.showing)
        self.proposal: Proposal = version.proposal
        agree(wen, version, at=AT)
        put_at(self.showing, Stage.TREATMENT)
        log_step(
            by=self.marit,
            role=Role.CONSERVATOR,
            at=AT + HOUR,
            museum_object=thing,
            proposal=self.proposal,
            done=done(step_word("mend"), at=AT + HOUR, face=self.face),
        )
        self.report: TreatmentReport = start_report(
            by=self.marit, role=Role.CONSERVATOR, at=AT + 2 * HOUR, proposal=self.proposal
        )

    def write(self, **values: Any) -> TreatmentReport:
        check = make_signed_report(
            self.showing.museum_object,
            ReportKind.AFTER_TREATMENT,
            examined_at=values.pop("checked_at", AT + 2 * HOUR),
            by=self.marit,
        )
        words = WORDS | {k: values.pop(k) for k in list(values) if k in WORDS}
        values.setdefault("after_check", check)
        values.setdefault("edition", TreatmentReport.objects.get(pk=self.report.pk).edition)
        return write_report(
            by=values.pop("by", self.marit),
            role=Role.CONSERVATOR,
            at=AT + 3 * HOUR,
            report=self.report,
            words=words,
            callback_on=values.pop("callback_on", None),
            **values,
        )

    def pair(self, **values: Any) -> None:
        values.setdefault("face", self.face)
        values.setdefault(
            "before", make_picture(self.face, taken_at=AT - HOUR, light=LightKind.RAKING)
        )
        values.setdefault(
            "after", make_picture(self.face, taken_at=AT + 2 * HOUR, light=LightKind.RAKING)
        )
        pair_pictures(
            by=self.marit, role=Role.CONSERVATOR, at=AT + 3 * HOUR, report=self.report, **values
        )

    def sign(self, person: Person | None = None) -> TreatmentReport:
        hand = hand_of(person or self.marit, Role.CONSERVATOR)
        return sign_report(hand=hand, at=AT + 4 * HOUR, report=self.report)

    def wanted(self) -> list[Face]:
        """The faces that are wanted before and after."""
        proposal = whole_proposals(Proposal.objects.filter(pk=self.proposal.pk)).get()
        faces = list(Face.objects.filter(museum_object=self.face.museum_object).order_by("order"))
        return faces_to_picture(proposal, faces, report_in_force(proposal))

    def finished(self) -> bool:
        facts = proposal_facts_of([self.showing], clock_at(AT + 5 * HOUR))[self.showing.pk]
        return facts[0].report_signed


@pytest.fixture
def treated() -> Treated:
    return Treated()


def test_a_whole_report_is_signed_frozen_and_true_to_its_digest(treated: Treated) -> None:
    treated.write()
    treated.pair()
    assert not treated.finished()
    signed = TreatmentReport.objects.get(pk=treated.sign().pk)
    assert treated.finished()
    assert list(faults_of(signed, kind_of(signed))) == []
    assert "Two tears were mended" in signed.signed_text
    assert "mend" in signed.signed_text
    signed.summary = "Nothing happened."
    with pytest.raises(DatabaseError), transaction.atomic():
        signed.save()


@pytest.mark.parametrize(
    "name", ["summary", "not_done", "remaining_risks", "new_limits", "housing_advice"]
)
def test_every_starred_word_is_asked_for(treated: Treated, name: str) -> None:
    treated.write(**{name: " "})
    treated.pair()
    with pytest.raises(Refused) as refused:
        treated.sign()
    assert [reason.field for reason in refused.value.reasons] == [name]


def test_a_treated_face_without_its_two_pictures_holds_the_report_up(treated: Treated) -> None:
    treated.write()
    with pytest.raises(Refused) as refused:
        treated.sign()
    (reason,) = refused.value.reasons
    assert reason.code == "treatment.images"
    assert reason.text.startswith("recto:")


def test_the_check_after_treatment_comes_after_the_last_step(treated: Treated) -> None:
    treated.pair()
    treated.write(after_check=None)
    with pytest.raises(Refused, match="Name the signed check after treatment"):
        treated.sign()
    treated.write(checked_at=AT)
    with pytest.raises(Refused, match="made before the last step"):
        treated.sign()
    baseline = make_signed_report(treated.showing.museum_object, examined_at=AT + 2 * HOUR)
    treated.write(after_check=baseline)
    with pytest.raises(Refused, match="not a signed check after treatment"):
        treated.sign()


def test_before_and_after_need_the_same_light_the_face_and_the_order_of_time(
    treated: Treated,
) -> None:
    face = treated.face
    other_light = make_picture(face, taken_at=AT + 2 * HOUR, light=LightKind.DIFFUSE)
    with pytest.raises(Refused, match="same light"):
        treated.pair(after=other_light)
    too_early = make_picture(face, taken_at=AT, light=LightKind.RAKING)
    with pytest.raises(Refused, match="before the last step"):
        treated.pair(after=too_early)
    too_late = make_picture(face, taken_at=AT + 2 * HOUR, light=LightKind.RAKING)
    with pytest.raises(Refused, match="after the first step"):
        treated.pair(before=too_late)
    elsewhere = make_picture(treated.other, taken_at=AT - HOUR, light=LightKind.RAKING)
    with pytest.raises(Refused, match="does not show recto"):
        treated.pair(before=elsewhere)


def test_nobody_signs_for_the_one_who_wrote_it(treated: Treated) -> None:
    treated.write()
    treated.pair()
    with pytest.raises(Refused, match="nobody signs for another"):
        treated.sign(make_person(Role.CONSERVATOR))


def test_two_people_on_one_report_both_keep_their_text(treated: Treated) -> None:
    treated.write(edition=1)
    with pytest.raises(Conflict) as conflict:
        treated.write(edition=1, summary="Mine.", by=make_person(Role.CONSERVATOR))
    assert conflict.value.theirs["summary"] == WORDS["summary"]
    assert conflict.value.mine["summary"] == "Mine."


def test_where_the_house_asks_for_it_a_second_reader_signs_too() -> None:
    treated = Treated(second=True)
    treated.pair()
    treated.write()
    with pytest.raises(Refused, match="second reader: name one"):
        treated.sign()
    piers = make_person(Role.CONSERVATOR, name="Piers Hallam")
    treated.write(second_reader=piers)
    treated.sign()
    assert not treated.finished()
    with pytest.raises(Refused, match="names Piers Hallam"):
        second_read(
            hand=hand_of(make_person(Role.CONSERVATOR), Role.CONSERVATOR),
            at=AT + 5 * HOUR,
            report=treated.report,
        )
    second_read(hand=hand_of(piers, Role.CONSERVATOR), at=AT + 5 * HOUR, report=treated.report)
    assert treated.finished()


def test_a_correction_is_a_new_version_that_points_back_and_says_why(treated: Treated) -> None:
    treated.write()
    treated.pair()
    first = treated.sign()
    with pytest.raises(Refused, match="what the signed report has wrong"):
        start_report(
            by=treated.marit, role=Role.CONSERVATOR, at=AT + 6 * HOUR, proposal=treated.proposal
        )
    second = start_report(
        by=treated.marit,
        role=Role.CONSERVATOR,
        at=AT + 6 * HOUR,
        proposal=treated.proposal,
        correction_why="The tear was on the other side.",
    )
    assert (second.version, second.corrects, second.summary) == (2, first, WORDS["summary"])
    assert treated.finished()


def test_after_the_report_nothing_more_is_logged_under_the_proposal(treated: Treated) -> None:
    treated.write()
    treated.pair()
    treated.sign()
    with pytest.raises(Refused, match=r"report on .* is signed"):
        log_step(
            by=treated.marit,
            role=Role.CONSERVATOR,
            at=AT + 6 * HOUR,
            museum_object=treated.showing.museum_object,
            proposal=treated.proposal,
            done=done(step_word("mend"), at=AT + 6 * HOUR),
        )


def test_a_call_back_lies_ahead_and_a_report_is_not_for_a_curator(treated: Treated) -> None:
    with pytest.raises(Refused, match="lies in the future"):
        treated.write(callback_on=AT.date() - timedelta(days=1))
    with pytest.raises(NotAllowed):
        start_report(
            by=make_person(Role.CURATOR), role=Role.CURATOR, at=AT, proposal=treated.proposal
        )


def test_of_a_sheet_both_sides_are_pictured_or_the_report_says_why_not(treated: Treated) -> None:
    """Common practice: pictures of both faces before and after."""
    treated.other.kind = FaceKind.VERSO
    treated.other.keep(**kept_by())
    treated.write()
    treated.pair()
    with pytest.raises(Refused) as refused:
        treated.sign()
    (reason,) = refused.value.reasons
    assert (reason.code, reason.text.split(":")[0]) == ("treatment.images", "verso")
    assert [face.label for face in treated.wanted()] == ["recto", "verso"]
    treated.write(not_pictured="The verso lies against its old mount and stays there.")
    treated.sign()
    assert [face.label for face in treated.wanted()] == ["recto"]


def test_of_a_bundle_only_the_leaves_that_were_treated_are_pictured(treated: Treated) -> None:
    treated.other.kind = FaceKind.VERSO
    treated.other.keep(**kept_by())
    make_face(treated.face.museum_object, label="f. 2r", order=3)
    assert [face.label for face in treated.wanted()] == ["recto"]


def test_what_stays_on_the_object_needs_words_on_how_it_comes_off_again(treated: Treated) -> None:
    """Common practice: a repair must be removable decades later."""
    log_step(
        by=treated.marit,
        role=Role.CONSERVATOR,
        at=AT + HOUR,
        museum_object=treated.face.museum_object,
        proposal=treated.proposal,
        done=done(step_word("mend"), at=AT + HOUR, face=treated.face, material=make_material()),
    )
    treated.write()
    treated.pair()
    with pytest.raises(Refused, match="wheat starch paste stayed on the object") as refused:
        treated.sign()
    assert [reason.field for reason in refused.value.reasons] == ["take_off"]
    assert housing_advice(treated.face.museum_object) is None
    treated.write(take_off="Damp the mend locally for a minute and lift it with a spatula.")
    assert "Damp the mend" in treated.sign().signed_text
    told = housing_advice(treated.face.museum_object)
    assert told is not None
    assert told.housing_advice == WORDS["housing_advice"]
