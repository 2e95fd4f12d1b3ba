"""Cautions weighed in a proposal and at the bench: warned with the source, never barred."""

from typing import Any

import pytest

from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.actions.treatment import (
    CautionAnswer,
    MediumTested,
    StepDraft,
    next_version,
    send_version,
    write_version,
)
from lifecycle.actions.treatment.caution_rules import write_caution_rule
from lifecycle.process.bench_cautions import Basis, Brings, Trait
from lifecycle.process.stages import Role
from lifecycle.process.words import LightKind
from lifecycle.queries.treatment.on_showing import on_object
from lifecycle.records.models import Person, Vocabulary
from lifecycle.records.models.treatment import (
    CautionRule,
    Proposal,
    ProposalVersion,
    SpotLiquid,
    SpotOutcome,
    StepCaution,
    TreatmentStep,
)
from tests.actions.treatment.lab import Lab
from tests.builders.core import (
    AT,
    make_face,
    make_museum,
    make_object,
    make_person,
    make_showing,
    make_word,
)
from tests.builders.treatment import (
    HOUR,
    agree,
    draft,
    hand_of,
    make_picture,
    make_proposal,
    step_word,
)

pytestmark = pytest.mark.django_db
WHY = "Local and blotted at once; it did not run in the test."
ANSWERED = CautionAnswer(trait=Trait.IRON_GALL_INK, brings=Brings.MOISTURE, why=WHY)


@pytest.fixture
def marit(db: None) -> Person:
    make_museum()
    return make_person(Role.CONSERVATOR, name="Marit Oldacre")


def inked(marit: Person) -> Proposal:
    thing = make_object()
    thing.materials.add(make_word(Vocabulary.MATERIAL, "iron-gall-ink"))
    return make_proposal(
        marit, showing=make_showing(museum_object=thing), steps=(StepDraft(step=step_word("wash")),)
    )


def write(marit: Person, version: ProposalVersion, **values: Any) -> ProposalVersion:
    return write_version(
        by=marit,
        role=Role.CONSERVATOR,
        at=AT,
        version=version,
        edition=version.edition,
        draft=draft(
            based_on=version.based_on, steps=(StepDraft(step=step_word("wash")),), **values
        ),
    )


def send(marit: Person, version: ProposalVersion) -> ProposalVersion:
    return send_version(hand=hand_of(marit, Role.CONSERVATOR), at=AT, version=version)


def test_a_version_is_sent_only_with_a_reason_for_each_caution_that_asks(marit: Person) -> None:
    version = inked(marit).versions.get()
    with pytest.raises(Refused) as refused:
        send(marit, version)
    assert {(r.field, r.code) for r in refused.value.reasons} == {
        ("cautions", "caution.iron_gall_ink.moisture")
    }
    version = write(marit, version, cautions=(ANSWERED,))
    text = send(marit, version).signed_text
    assert "Cautions weighed" in text
    assert WHY in text
    assert "irongallink.org" in text


def test_a_reason_stays_while_one_writes_on_and_goes_with_the_next_version(marit: Person) -> None:
    proposal = inked(marit)
    version = write(marit, proposal.versions.get(), cautions=(ANSWERED,))
    version = write(marit, version)
    send(marit, version)
    fresh = next_version(by=marit, role=Role.CONSERVATOR, at=AT + HOUR, proposal=proposal)
    assert [row.why for row in fresh.cautions.all()] == [WHY]


def test_a_caution_that_no_step_raises_any_more_is_left_out(marit: Person) -> None:
    version = write(marit, inked(marit).versions.get(), cautions=(ANSWERED,))
    dry = draft(based_on=version.based_on, steps=(StepDraft(step=step_word("dust")),), materials=())
    saved = write_version(
        by=marit, role=Role.CONSERVATOR, at=AT, version=version, edition=version.edition, draft=dry
    )
    assert not saved.cautions.filter(left_out=False).exists()
    back = write(marit, saved)
    assert [row.why for row in back.cautions.filter(left_out=False)] == [WHY]
    saved = write_version(
        by=marit, role=Role.CONSERVATOR, at=AT, version=back, edition=back.edition, draft=dry
    )
    assert "Cautions weighed" not in send(marit, saved).signed_text


def house_says(text: str, *, asks: bool = True) -> None:
    """The house words the caution about ink and moisture in its own way."""
    write_caution_rule(
        by=make_person(Role.HEAD_OF_COLLECTIONS),
        role=Role.HEAD_OF_COLLECTIONS,
        at=AT,
        trait=Trait.IRON_GALL_INK,
        brings=Brings.MOISTURE,
        text=text,
        source="House note 4.",
        basis=Basis.HOUSE,
        asks=asks,
        in_use=True,
        why="Worded anew.",
    )


def test_a_caution_that_asks_for_no_reason_keeps_nothing_from_being_sent(marit: Person) -> None:
    house_says("Look at the ink.", asks=False)
    sent = send(marit, inked(marit).versions.get())
    assert "Look at the ink." in sent.signed_text


def test_a_caution_is_kept_in_the_words_that_stand_when_the_version_is_saved(marit: Person) -> None:
    version = write(marit, inked(marit).versions.get(), cautions=(ANSWERED,))
    house_says("Our own words of this ink.")
    (row,) = write(marit, version).cautions.all()
    assert row.warning.startswith("Our own words of this ink.")


def inked_lab() -> Lab:
    lab = Lab()
    lab.thing.materials.add(make_word(Vocabulary.MATERIAL, "iron-gall-ink"))
    return lab


def test_the_bench_keeps_what_it_went_on_in_spite_of_with_reason_and_source(db: None) -> None:
    step = inked_lab().log("wash", caution_reason=WHY)
    (kept,) = step.cautions.all()
    assert (kept.trait, kept.brings, kept.why) == ("iron_gall_ink", "moisture", WHY)
    assert "irongallink.org" in kept.warning
    seen = on_object(step.museum_object, AT + 2 * HOUR)
    assert [c.why for s in seen.proposals[0].steps for c in s.cautions.all()] == [WHY]


def test_the_bench_does_not_ask_again_what_the_consented_version_answers(db: None) -> None:
    lab = inked_lab()
    fresh = next_version(by=lab.marit, role=Role.CONSERVATOR, at=AT, proposal=lab.proposal)
    fresh = write(lab.marit, fresh, cautions=(ANSWERED,))
    agree(lab.wen, send(lab.marit, fresh), at=AT)
    assert lab.log("wash").caution_reason == ""
    assert StepCaution.objects.get().why == WHY


def test_an_emergency_is_not_asked_twice_and_keeps_the_caution(db: None) -> None:
    lab = inked_lab()
    lab.log("wash", under=False, emergency=True, emergency_reason="Ink spilled on it.")
    assert StepCaution.objects.get().why == "Ink spilled on it."


def spot(outcome: SpotOutcome) -> MediumTested:
    return MediumTested(medium="blue wash", liquid=SpotLiquid.WATER, outcome=outcome)


def test_a_medium_that_ran_in_a_spot_test_is_warned_of_from_then_on(db: None) -> None:
    lab = Lab()
    lab.log("test", emergency=True, emergency_reason="To know.", test=spot(SpotOutcome.SOFTENED))
    assert lab.log("wash").pk
    lab.log("test", emergency=True, emergency_reason="To know.", test=spot(SpotOutcome.RAN))
    with pytest.raises(Refused, match="ran once in water may run again"):
        lab.log("wash")
    assert lab.log("wash", caution_reason=WHY).pk


def test_a_spot_test_belongs_to_the_step_test_and_names_its_medium(db: None) -> None:
    lab = Lab()
    with pytest.raises(Refused, match="belongs to the step"):
        lab.log("mend", test=spot(SpotOutcome.RAN))
    nameless = MediumTested(medium=" ", liquid=SpotLiquid.WATER, outcome=SpotOutcome.RAN)
    with pytest.raises(Refused, match="which ink"):
        lab.log("test", test=nameless)
    assert not TreatmentStep.objects.exists()


def test_pictures_of_a_version_show_its_object_and_are_few(marit: Person) -> None:
    version = inked(marit).versions.get()
    face = make_face(version.proposal.museum_object)
    own = make_picture(face, taken_at=AT, light=LightKind.DIFFUSE)
    other = make_picture(make_face(make_object()), taken_at=AT, light=LightKind.DIFFUSE)
    with pytest.raises(Refused, match="does not show"):
        write(marit, version, pictures=(other,))
    many = [make_picture(face, taken_at=AT, light=LightKind.RAKING) for _ in range(5)]
    with pytest.raises(Refused, match="4 pictures at most"):
        write(marit, version, pictures=many)
    saved = write(marit, version, pictures=(own,), cautions=(ANSWERED,), state_text="Two tears.")
    text = send(marit, saved).signed_text
    assert own.sha256 in text
    assert "Two tears." in text


def rule(by: Person, role: Role = Role.HEAD_OF_COLLECTIONS, **values: Any) -> CautionRule:
    said: dict[str, Any] = {
        "trait": Trait.IRON_GALL_INK,
        "brings": Brings.MOISTURE,
        "text": "Not in our house.",
        "source": "Our own trials of 2026.",
        "basis": Basis.HOUSE,
        "asks": True,
        "in_use": True,
        "why": "Trials are over.",
    }
    return write_caution_rule(by=by, role=role, at=AT, **(said | values))


def test_the_house_words_a_caution_its_own_way_and_history_keeps_what_was(db: None) -> None:
    lab = inked_lab()
    head = make_person(Role.HEAD_OF_COLLECTIONS)
    rule(head)
    with pytest.raises(Refused, match=r"Not in our house.*Our own trials"):
        lab.log("wash")
    row = rule(head, in_use=False)
    assert lab.log("wash").pk
    assert [one.in_use for one in row.history.order_by("history_id")] == [True, False]


@pytest.mark.parametrize("name", ["text", "source", "why"])
def test_a_rule_without_words_source_or_reason_is_refused(db: None, name: str) -> None:
    make_museum()
    nothing: dict[str, Any] = {name: " "}
    with pytest.raises(Refused) as refused:
        rule(make_person(Role.HEAD_OF_COLLECTIONS), **nothing)
    assert [reason.field for reason in refused.value.reasons] == [name]


def test_only_the_head_of_collections_changes_a_rule(marit: Person) -> None:
    with pytest.raises(NotAllowed):
        rule(marit, Role.CONSERVATOR)
