"""A source community agrees before treatment: somebody of the house puts its answer on record.

The party is common practice ('source community where agreed'); nobody signs for another here, so
the signature is that of whoever writes the answer down.
"""

from datetime import timedelta
from typing import Any

import pytest
from django.db import IntegrityError, transaction

from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.actions.signing import with_account
from lifecycle.actions.treatment import (
    FoundInTreatment,
    LeftOut,
    decide_deviation,
    give_consent,
    record_finding,
)
from lifecycle.process.finding_effects import AskedKind
from lifecycle.process.stages import Role
from lifecycle.process.words import LightKind
from lifecycle.queries.package.signed import beside_kinds, signed_beside
from lifecycle.queries.treatment.asked_again import asked_rows, with_standing
from lifecycle.queries.treatment.bench import bench_of
from lifecycle.queries.treatment.consenting import community_needed
from lifecycle.queries.treatment.reading import whole_proposals
from lifecycle.records.models import AskedAgain, Person, Vocabulary
from lifecycle.records.models.treatment import (
    SOURCE_COMMUNITY,
    Consent,
    Decision,
    DeviationConsent,
    HowGiven,
    Proposal,
    ProposalVersion,
    TreatmentStep,
)
from lifecycle.records.models.work import Message
from tests.actions.treatment.lab import Lab, kinds_held
from tests.builders.core import AT, kept_by, make_person, make_word
from tests.builders.treatment import HOUR, PASSWORD, make_picture, recording, step_word, told_by

pytestmark = pytest.mark.django_db
FERRY = "Tern Ferry families"


@pytest.fixture
def lab() -> Lab:
    return Lab(source_community=FERRY)


@pytest.fixture
def josephine(lab: Lab) -> Person:
    return make_person(Role.REGISTRAR, name="Josephine Abara")


def version_of(lab: Lab) -> ProposalVersion:
    return lab.proposal.versions.get()


def answer(lab: Lab, person: Person, **values: Any) -> Consent:
    values.setdefault("decision", Decision.AGREE)
    told = values.pop("told", told_by(FERRY, AT))
    hand = values.pop("hand", None) or recording(person)
    return give_consent(hand=hand, at=AT + HOUR, version=version_of(lab), told=told, **values)


def test_no_step_before_the_community_answered_and_its_limits_stand_at_the_bench(
    lab: Lab, josephine: Person
) -> None:
    with pytest.raises(Refused, match=r"the source community \(Tern Ferry families\) has not"):
        lab.log(at=AT + 2 * HOUR)
    answer(
        lab,
        josephine,
        decision=Decision.AGREE_WITHIN_LIMITS,
        limits="Not washed.",
        left_out=(LeftOut(step=step_word("wash")),),
    )
    assert lab.log(at=AT + 2 * HOUR).version == version_of(lab)
    with pytest.raises(Refused, match="Asa Merrin: Not washed"):
        lab.log("wash", at=AT + 2 * HOUR)
    limits = bench_of(lab.proposal, AT + 3 * HOUR).limits
    assert limits == (f"Asa Merrin ({FERRY}): Not washed.",)


def test_the_answer_keeps_who_spoke_how_and_when_and_who_wrote_it_down(
    lab: Lab, josephine: Person
) -> None:
    given = answer(lab, josephine)
    assert (given.community, given.speaker, given.how) == (FERRY, "Asa Merrin", HowGiven.MEETING)
    assert (given.decided_at, given.entered_at) == (AT, AT + HOUR)
    assert given.spoken_by == "Asa Merrin"
    signed = given.signature
    assert (signed.person, signed.role) == (josephine, Role.REGISTRAR)
    assert signed.scan is not None


def test_what_was_signed_comes_out_of_the_row_again_word_for_word(
    lab: Lab, josephine: Person
) -> None:
    answer(lab, josephine)
    kind = next(one for one in beside_kinds() if one.model is Consent)
    found = list(signed_beside(kind, Consent.objects.all()))
    assert len(found) == 2
    assert all(words.words is not None for words in found)
    assert f"For the source community: {FERRY}" in str(found[-1].words)


def test_only_who_registers_loans_puts_it_on_record(lab: Lab, josephine: Person) -> None:
    for person, role in ((lab.wen, Role.CURATOR), (lab.marit, Role.CONSERVATOR)):
        with pytest.raises(NotAllowed):
            answer(lab, person, hand=recording(person, role))
    head = make_person(Role.HEAD_OF_COLLECTIONS)
    assert answer(lab, head, hand=recording(head, Role.HEAD_OF_COLLECTIONS)).person == head


@pytest.mark.parametrize(
    ("told", "scanned", "field"),
    [
        ({"speaker": "  "}, True, "speaker"),
        ({}, False, "scan"),
        ({"at": AT + timedelta(days=1)}, True, "given_at"),
        ({"at": AT - timedelta(days=1)}, True, "given_at"),
    ],
)
def test_an_answer_says_who_when_and_with_which_writing(
    lab: Lab, josephine: Person, told: dict[str, Any], scanned: bool, field: str
) -> None:
    hand = recording(josephine)
    if not scanned:
        hand = with_account(person=josephine, role=Role.REGISTRAR, password=PASSWORD)
    said = told_by(FERRY, told.get("at", AT), speaker=told.get("speaker", "Asa Merrin"))
    with pytest.raises(Refused) as refused:
        answer(lab, josephine, hand=hand, told=said)
    assert [reason.field for reason in refused.value.reasons] == [field]
    assert not Consent.objects.filter(community=FERRY).exists()


def test_a_version_sent_before_versions_kept_it_asks_whom_the_card_named_on_that_day(
    monkeypatch: pytest.MonkeyPatch, django_assert_num_queries: Any
) -> None:
    with monkeypatch.context() as before:
        before.setattr("lifecycle.actions.treatment.sending.community_needed", lambda version: "")
        lab = Lab(source_community=FERRY)
    thing = lab.proposal.museum_object
    for since in ("Halse Moor families", ""):
        thing.source_community = since
        thing.keep(**kept_by() | {"at": AT + HOUR})
        alone = ProposalVersion.objects.select_related("proposal__museum_object").get()
        assert alone.community == ""
        (along,) = whole_proposals(Proposal.objects.all()).get().versions.all()
        with django_assert_num_queries(0):
            assert community_needed(along) == FERRY
        with django_assert_num_queries(1):
            assert community_needed(alone) == FERRY


def test_a_community_that_is_not_named_is_not_asked(lab: Lab, josephine: Person) -> None:
    for named in ("Halse Moor families", ""):
        with pytest.raises(Refused, match="does not need an answer of"):
            answer(lab, josephine, told=told_by(named, AT))


def test_a_version_that_was_sent_keeps_its_community_when_the_card_names_none_any_more(
    lab: Lab, josephine: Person
) -> None:
    lab.thing.source_community = ""
    lab.thing.keep(**kept_by())
    with pytest.raises(Refused, match=r"the source community \(Tern Ferry families\) has not"):
        lab.log(at=AT + 2 * HOUR)
    answer(lab, josephine)
    assert lab.log(at=AT + 2 * HOUR).version == version_of(lab)


def test_the_tables_hold_no_answer_of_a_community_without_its_speaker(
    lab: Lab, josephine: Person
) -> None:
    given = answer(lab, josephine)
    told = {"community": FERRY, "speaker": "Asa Merrin", "how": HowGiven.CALL}
    bad = [told | {"role": SOURCE_COMMUNITY, name: ""} for name in told]
    bad += [told | {"role": Role.CURATOR}, {"role": SOURCE_COMMUNITY}, {"role": Role.REGISTRAR}]
    for values in bad:
        row = Consent(
            version=given.version,
            person=josephine,
            decision=Decision.AGREE,
            signature=given.signature,
            decided_at=AT,
            entered_at=AT,
            entered_by=josephine,
            **values,
        )
        with pytest.raises(IntegrityError, match="consent_"), transaction.atomic():
            row.append()


def test_what_is_decided_on_is_held_meanwhile(
    lab: Lab, josephine: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A version against being dropped or reported on, a deviation against being written again."""
    held = kinds_held(monkeypatch)
    answer(lab, josephine)
    assert held[:1] == [ProposalVersion]
    step = lab.log(at=AT + 2 * HOUR, deviation=True, deviation_why="It was thicker.")
    held.clear()
    decide_deviation(
        hand=recording(josephine),
        at=AT + 4 * HOUR,
        step=step,
        decision=Decision.AGREE,
        told=told_by(FERRY, AT + 3 * HOUR),
    )
    assert held[:1] == [TreatmentStep]


def test_of_an_emergency_the_registrar_is_told_that_the_community_has_to_be_told(
    lab: Lab, josephine: Person
) -> None:
    lab.log("fill", at=AT + 2 * HOUR, emergency=True, emergency_reason="A flake lifts.")
    told = Message.objects.get(person=josephine)
    assert f"{FERRY} is asked before any treatment of it: tell them today" in told.body


def test_a_finding_asks_the_registrar_for_the_communitys_word_again_until_it_is_said(
    lab: Lab, josephine: Person
) -> None:
    answer(lab, josephine)
    step = lab.log(at=AT + 2 * HOUR, face=lab.face)
    record_finding(
        by=lab.marit,
        role=Role.CONSERVATOR,
        at=AT + 3 * HOUR,
        step=step,
        found=FoundInTreatment(
            face=lab.face,
            term=make_word(Vocabulary.CONDITION_TERM, "inscription"),
            what="A line of pencil.",
            observed_at=AT + 2 * HOUR,
            picture=make_picture(lab.face, taken_at=AT + 2 * HOUR, light=LightKind.RAKING),
            plan_change="The tissue ends short of it.",
        ),
    )
    asked = {(row.role, row.person) for row in AskedAgain.objects.filter(kind=AskedKind.CONSENT)}
    assert asked == {(Role.CURATOR, lab.wen), (Role.REGISTRAR, None)}

    def waiting() -> set[str]:
        return {view.asked.role for view in with_standing(asked_rows()) if view.open}

    assert Role.REGISTRAR in waiting()
    give_consent(
        hand=recording(josephine),
        at=AT + 5 * HOUR,
        version=version_of(lab),
        decision=Decision.AGREE,
        told=told_by(FERRY, AT + 4 * HOUR),
    )
    assert waiting() == {Role.CURATOR}


def test_a_deviation_waits_for_the_communitys_answer(lab: Lab, josephine: Person) -> None:
    answer(lab, josephine)
    step = lab.log(at=AT + 2 * HOUR, deviation=True, deviation_why="It was thicker.")
    decide: dict[str, Any] = {"at": AT + 4 * HOUR, "step": step, "decision": Decision.AGREE}
    early = told_by(FERRY, AT + HOUR)
    with pytest.raises(Refused) as refused:
        decide_deviation(hand=recording(josephine), told=early, **decide)
    assert [reason.field for reason in refused.value.reasons] == ["given_at"]
    nobody = told_by(FERRY, AT + 3 * HOUR, speaker=" ")
    with pytest.raises(Refused, match="who spoke"):
        decide_deviation(hand=recording(josephine), told=nobody, **decide)
    wen = with_account(person=lab.wen, role=Role.CURATOR, password=PASSWORD)
    decide_deviation(hand=wen, **decide)
    with pytest.raises(Refused, match="clock"):
        lab.log(at=AT + 5 * HOUR)
    said = told_by(FERRY, AT + 3 * HOUR)
    row = decide_deviation(hand=recording(josephine), told=said, **decide)
    assert (row.spoken_by, DeviationConsent.objects.count()) == ("Asa Merrin", 2)
    assert lab.log(at=AT + 5 * HOUR).pk
