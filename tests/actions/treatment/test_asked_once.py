"""A proposal asks each thing once: what its options say and where its showing stands is heeded."""

from typing import Any

import pytest

from lifecycle.actions.refusals import Refused
from lifecycle.actions.treatment import OptionDraft, open_proposal, send_version, write_version
from lifecycle.actions.treatment.proposing import is_for_aftercare
from lifecycle.process.stages import Role, Stage
from lifecycle.records.models import JournalEntry, Person, StruckMove
from lifecycle.records.models.treatment import Proposal, ProposalVersion, Undo
from tests.actions.treatment.lab import kinds_held
from tests.builders.core import AT, kept_by, make_museum, make_person, make_showing
from tests.builders.treatment import draft, hand_of, make_proposal, put_at

pytestmark = pytest.mark.django_db
NOTHING = OptionDraft(what="Do nothing.", undo=Undo.NOTHING_DONE, do_nothing=True)


@pytest.fixture
def marit(db: None) -> Person:
    make_museum()
    return make_person(Role.CONSERVATOR, name="Marit Oldacre")


def chosen(*undo: Undo) -> tuple[OptionDraft, ...]:
    """Options beside 'do nothing', the first of them chosen."""
    ways = [OptionDraft(what=f"Way {n}.", undo=u, chosen=n == 0) for n, u in enumerate(undo)]
    return (NOTHING, *ways)


def written(marit: Person, version: ProposalVersion, **values: Any) -> ProposalVersion:
    return write_version(
        by=marit,
        role=Role.CONSERVATOR,
        at=AT,
        version=version,
        edition=ProposalVersion.objects.get(pk=version.pk).edition,
        draft=draft(based_on=version.based_on, **values),
    )


@pytest.mark.parametrize(
    ("undo", "said"),
    [
        (Undo.CAN_BE_UNDONE, True),
        (Undo.CAN_BE_TREATED_AGAIN, False),
        (Undo.CANNOT_BE_UNDONE, False),
        (Undo.NOTHING_DONE, None),
    ],
)
def test_whether_a_version_can_be_undone_is_what_its_chosen_option_says(
    marit: Person, undo: Undo, said: bool | None
) -> None:
    version = make_proposal(marit).versions.get()
    other = Undo.CANNOT_BE_UNDONE if said else Undo.CAN_BE_UNDONE
    assert written(marit, version, options=chosen(undo, other)).reversible is said
    assert written(marit, version, options=(NOTHING,)).reversible is None


def test_a_chosen_option_that_says_nothing_of_it_is_not_sent(marit: Person) -> None:
    version = make_proposal(marit, options=chosen(Undo.NOTHING_DONE)).versions.get()
    with pytest.raises(Refused) as refused:
        send_version(hand=hand_of(marit, Role.CONSERVATOR), at=AT, version=version)
    (reason,) = refused.value.reasons
    assert (reason.field, "whether it can be undone" in reason.text) == ("options", True)


def test_a_draft_of_when_it_was_asked_twice_is_sent_as_its_chosen_option_says(
    marit: Person,
) -> None:
    version = make_proposal(marit, reversible=False).versions.get()
    version.reversible = True
    version.keep(**kept_by())
    sent = send_version(hand=hand_of(marit, Role.CONSERVATOR), at=AT, version=version)
    assert ProposalVersion.objects.get(pk=sent.pk).reversible is False
    assert "Can be undone: no" in sent.signed_text


def test_the_proposal_is_held_before_its_version_while_it_is_sent(
    marit: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The race is run in ``two_presses``; SQLite, with one writer at a time, can't lose it."""
    version = make_proposal(marit).versions.get()
    held = kinds_held(monkeypatch)
    send_version(hand=hand_of(marit, Role.CONSERVATOR), at=AT, version=version)
    assert held[:2] == [Proposal, ProposalVersion]


@pytest.mark.parametrize(
    ("stage", "aftercare"),
    [
        (Stage.SELECTION, False),
        (Stage.EXAMINATION, False),
        (Stage.MOUNTING, False),
        (Stage.READY, False),
        (Stage.ON_DISPLAY, True),
        (Stage.ROTATION, True),
        (Stage.DEINSTALL_CHECK, True),
        (Stage.REHOUSING, True),
    ],
)
def test_what_a_proposal_is_for_follows_from_where_the_showing_stands(
    marit: Person, stage: Stage, aftercare: bool
) -> None:
    showing = put_at(make_showing(), stage)
    opened = open_proposal(by=marit, role=Role.CONSERVATOR, at=AT, showing=showing)
    assert opened.aftercare is aftercare


def test_in_treatment_it_is_for_the_leg_whose_treatment_was_begun(marit: Person) -> None:
    showing = put_at(make_showing(), Stage.TREATMENT)

    def begun(move: str, from_stage: Stage) -> JournalEntry:
        put_at(showing, from_stage)
        return JournalEntry(
            showing=showing,
            move=move,
            from_stage=from_stage,
            to_stage=Stage.TREATMENT,
            by=marit,
            role=Role.CONSERVATOR,
            at=AT,
        ).append()

    assert not is_for_aftercare(showing)
    begun("begin_treatment", Stage.EXAMINATION)
    assert not is_for_aftercare(showing)
    after = begun("aftercare", Stage.DEINSTALL_CHECK)
    assert is_for_aftercare(showing)
    StruckMove(entry=after, by=marit, role=Role.CONSERVATOR, at=AT, reason="In error.").append()
    assert not is_for_aftercare(showing)
