"""What a proposal, a consent and a standing consent refuse, each for one reason alone."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest

from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.actions.signing import on_paper
from lifecycle.actions.treatment import (
    LeftOut,
    OptionDraft,
    StepDraft,
    agree_standing_consent,
    drop_proposal,
    end_standing_consent,
    give_consent,
    next_version,
    open_proposal,
    send_version,
    write_standing_consent,
    write_version,
)
from lifecycle.process.stages import Role, Stage
from lifecycle.records.models import Document, Organisation, OrganisationKind, Person, Vocabulary
from lifecycle.records.models.treatment import (
    Decision,
    Proposal,
    ProposalVersion,
    RemovedMatter,
    StandingConsent,
    Undo,
)
from tests.actions.treatment.lab import Lab
from tests.actions.treatment.test_report import Treated
from tests.builders.core import (
    AT,
    DAY,
    kept_by,
    make_museum,
    make_person,
    make_showing,
    make_word,
)
from tests.builders.treatment import (
    HOUR,
    agree,
    draft,
    hand_of,
    make_proposal,
    make_sent,
    make_signed_report,
    put_at,
    step_word,
)

pytestmark = pytest.mark.django_db
NOTHING = OptionDraft(what="Do nothing.", undo=Undo.NOTHING_DONE, do_nothing=True)
MEND = OptionDraft(what="Mend.", undo=Undo.CAN_BE_UNDONE, chosen=True)


@pytest.fixture
def marit() -> Person:
    make_museum()
    return make_person(Role.CONSERVATOR, name="Marit Oldacre")


def write(by: Person, role: Role, version: ProposalVersion, **values: Any) -> ProposalVersion:
    values.setdefault("based_on", version.based_on)
    return write_version(
        by=by, role=role, at=AT, version=version, edition=version.edition, draft=draft(**values)
    )


def drop(person: Person, proposal: Proposal) -> Proposal:
    return drop_proposal(
        by=person, role=Role.CONSERVATOR, at=AT, proposal=proposal, why="Shown as it is."
    )


@pytest.mark.parametrize("stage", [Stage.RETURNED, Stage.DECLINED, Stage.WITHDRAWN])
def test_nothing_is_proposed_for_a_closed_showing(marit: Person, stage: Stage) -> None:
    showing = put_at(make_showing(), stage)
    with pytest.raises(Refused, match="is closed: propose treatment with its next one"):
        open_proposal(by=marit, role=Role.CONSERVATOR, at=AT, showing=showing)
    assert not Proposal.objects.exists()


def test_a_curator_neither_writes_sends_drops_nor_begins_a_version(marit: Person) -> None:
    sent = make_sent(marit)
    mine = make_proposal(marit)
    version, wen = mine.versions.get(), make_person(Role.CURATOR)
    said: dict[str, Any] = {"by": wen, "role": Role.CURATOR, "at": AT}
    with pytest.raises(NotAllowed):
        write(wen, Role.CURATOR, version)
    with pytest.raises(NotAllowed):
        send_version(hand=hand_of(wen, Role.CURATOR), at=AT, version=version)
    with pytest.raises(NotAllowed):
        drop_proposal(**said, proposal=mine, why="No.")
    with pytest.raises(NotAllowed):
        next_version(**said, proposal=sent.proposal)
    assert Proposal.objects.filter(dropped_at=None).count() == 2
    assert ProposalVersion.objects.count() == 2


def test_without_a_showing_too_only_a_conservator_drops_a_proposal(marit: Person) -> None:
    proposal = Proposal(
        proposal_no="TP-1",
        museum_object=make_showing().museum_object,
        opened_by=marit,
        opened_at=AT,
    ).keep(**kept_by())
    wen = make_person(Role.CURATOR)
    with pytest.raises(NotAllowed):
        drop_proposal(by=wen, role=Role.CURATOR, at=AT, proposal=proposal, why="No.")
    assert drop(marit, proposal).dropped_at == AT


def test_a_dropped_proposal_is_not_sent_decided_dropped_or_written_onward(marit: Person) -> None:
    wen = make_person(Role.CURATOR)
    showing = make_showing()
    showing.exhibition.curators.add(wen)
    sent = make_sent(marit, showing=showing)
    drop(marit, sent.proposal)
    with pytest.raises(Refused, match="was dropped: there is nothing to decide"):
        agree(wen, sent, at=AT)
    with pytest.raises(Refused, match=r"was dropped \(Shown as it is.\)"):
        drop(marit, sent.proposal)
    with pytest.raises(Refused, match="was dropped"):
        next_version(by=marit, role=Role.CONSERVATOR, at=AT, proposal=sent.proposal)
    unsent = make_proposal(marit)
    drop(marit, unsent)
    with pytest.raises(Refused, match="was dropped: open a new proposal"):
        send_version(hand=hand_of(marit, Role.CONSERVATOR), at=AT, version=unsent.versions.get())
    assert not ProposalVersion.objects.get(pk=unsent.versions.get().pk).signed


def test_after_the_report_nobody_decides_and_no_version_follows() -> None:
    treated = Treated()
    treated.write()
    treated.pair()
    treated.sign()
    version = treated.proposal.versions.get()
    wen = treated.showing.exhibition.curators.get()
    with pytest.raises(Refused, match=r"treatment report on .* is signed already"):
        agree(wen, version, at=AT + 6 * HOUR)
    with pytest.raises(Refused, match=r"report on .* is signed: open a new proposal"):
        next_version(
            by=treated.marit, role=Role.CONSERVATOR, at=AT + 6 * HOUR, proposal=treated.proposal
        )


@pytest.mark.parametrize(
    ("values", "told"),
    [
        ({"options": (MEND,)}, "must stand among the options, once"),
        ({"options": (NOTHING, NOTHING, MEND)}, "must stand among the options, once"),
        (
            {"options": (NOTHING, OptionDraft(what=" ", undo=Undo.CAN_BE_UNDONE))},
            "Say what each option is",
        ),
        (
            {
                "options": (
                    NOTHING,
                    OptionDraft(what="Line.", undo=Undo.CAN_BE_UNDONE, hours=Decimal(-1)),
                )
            },
            "Hours of an option can't be below nothing",
        ),
    ],
)
def test_options_that_cannot_be_weighed_are_refused(
    marit: Person, values: dict[str, Any], told: str
) -> None:
    version = make_proposal(marit).versions.get()
    with pytest.raises(Refused) as refused:
        write(marit, Role.CONSERVATOR, version, **values)
    assert [(r.field, told in r.text) for r in refused.value.reasons] == [("options", True)]


def test_a_proposal_rests_on_a_report_of_this_object_that_is_signed(marit: Person) -> None:
    proposal = make_proposal(marit)
    version = proposal.versions.get()
    report = make_signed_report(proposal.museum_object)
    report.digest = ""
    with pytest.raises(Refused, match="is not signed: rest on a signed report"):
        write(marit, Role.CONSERVATOR, version, based_on=report)
    assert write(marit, Role.CONSERVATOR, version, based_on=None).based_on is None


def test_a_planned_step_is_a_word_of_the_list_of_steps(marit: Person) -> None:
    version = make_proposal(marit).versions.get()
    other = make_word(Vocabulary.MOVE_REASON, "audit")
    with pytest.raises(Refused, match="audit is not a treatment step"):
        write(marit, Role.CONSERVATOR, version, steps=(StepDraft(step=other),))


def test_removed_matter_says_where_it_goes_before_it_is_sent(marit: Person) -> None:
    proposal = make_proposal(marit, removed_matter=RemovedMatter.KEPT_WITH_FILE)
    with pytest.raises(Refused) as refused:
        send_version(hand=hand_of(marit, Role.CONSERVATOR), at=AT, version=proposal.versions.get())
    assert [reason.field for reason in refused.value.reasons] == ["removed_where"]


# --- consent ---------------------------------------------------------------------------------


def test_an_unsent_version_waits_to_be_sent(marit: Person) -> None:
    wen, showing = make_person(Role.CURATOR), make_showing()
    showing.exhibition.curators.add(wen)
    proposal = make_proposal(marit, showing=showing)
    with pytest.raises(Refused, match="was not sent yet: wait until it is"):
        agree(wen, proposal.versions.get(), at=AT)


def test_what_is_left_out_is_a_planned_step_of_an_agreement_within_limits(lab: Lab) -> None:
    version = lab.proposal.versions.get()
    wash, bleach = LeftOut(step=step_word("wash")), LeftOut(step=step_word("bleach"))
    with pytest.raises(Refused, match="choose ‘agree within limits’") as refused:
        agree(lab.wen, version, at=AT, left_out=(wash,))
    assert [reason.field for reason in refused.value.reasons] == ["decision"]
    limits: dict[str, Any] = {"decision": Decision.AGREE_WITHIN_LIMITS, "limits": "No water."}
    with pytest.raises(Refused, match="bleach is not among the planned steps") as refused:
        agree(lab.wen, version, at=AT, left_out=(bleach,), **limits)
    assert [reason.field for reason in refused.value.reasons] == ["left_out"]
    given = agree(lab.wen, version, at=AT, left_out=(wash,), **limits)
    assert given.exclusions.get().step == wash.step


def paper() -> Document:
    return Document(
        sha256="d" * 64,
        name="p.pdf",
        mime="application/pdf",
        size_bytes=9,
        title="Decision on paper",
        entered_at=AT,
    ).keep(**kept_by())


def test_a_decision_on_paper_is_not_older_than_the_minute_the_version_was_sent(
    marit: Person,
) -> None:
    wen, showing = make_person(Role.CURATOR), make_showing()
    showing.exhibition.curators.add(wen)
    sent = make_sent(marit, showing=showing, at=AT.replace(second=40))

    def decide(signed_at: Any) -> None:
        hand = on_paper(
            person=wen, role=Role.CURATOR, scan=paper(), read_back_by=marit, signed_at=signed_at
        )
        give_consent(hand=hand, at=AT + HOUR, version=sent, decision=Decision.AGREE)

    with pytest.raises(Refused, match="the decision can't be older") as refused:
        decide(AT.replace(second=0) - timedelta(minutes=1))
    assert [reason.field for reason in refused.value.reasons] == ["signed_at"]
    decide(AT.replace(second=0))
    assert sent.consents.count() == 1


# --- standing consents -----------------------------------------------------------------------


def standing(person: Person, **values: Any) -> StandingConsent:
    said: dict[str, Any] = {
        "by": person,
        "role": Role.CONSERVATOR,
        "at": AT,
        "object_type": make_word(Vocabulary.OBJECT_TYPE, "single-sheet"),
        "steps": [step_word("dust")],
        "limits": "Soft brush only.",
        "from_on": DAY,
        "until_on": DAY + timedelta(days=30),
    }
    return write_standing_consent(**said | values)


@pytest.mark.parametrize(
    ("make", "field"),
    [
        (lambda: {"object_type": step_word("mend")}, "object_type"),
        (lambda: {"steps": []}, "steps"),
        (lambda: {"steps": [make_word(Vocabulary.MOVE_REASON, "audit")]}, "steps"),
        (lambda: {"limits": "  "}, "limits"),
        (lambda: {"until_on": DAY - timedelta(days=1)}, "until_on"),
        (lambda: {"lender_writing": paper()}, "lender_writing"),
        (
            lambda: {
                "lender": Organisation(name="Trust", kind=OrganisationKind.LENDER).keep(**kept_by())
            },
            "lender_writing",
        ),
    ],
)
def test_a_standing_consent_says_what_for_whom_and_how_long(
    marit: Person, make: Any, field: str
) -> None:
    with pytest.raises(Refused) as refused:
        standing(marit, **make())
    assert [reason.field for reason in refused.value.reasons] == [field]
    assert not StandingConsent.objects.exists()


def test_a_standing_consent_is_written_by_a_conservator(marit: Person) -> None:
    with pytest.raises(NotAllowed):
        standing(make_person(Role.CURATOR), role=Role.CURATOR)


def test_each_of_the_two_agrees_once(marit: Person) -> None:
    row = standing(marit)
    for role, told in (
        (Role.CURATOR, "as curator already"),
        (Role.HEAD_OF_COLLECTIONS, "has agreed to .* already"),
    ):
        person = make_person(role)
        agree_standing_consent(by=person, role=role, at=AT, standing=row)
        with pytest.raises(Refused, match=told):
            agree_standing_consent(by=make_person(role), role=role, at=AT + HOUR, standing=row)
    kept = StandingConsent.objects.get(pk=row.pk)
    assert (kept.curator_agreed_at, kept.head_agreed_at) == (AT, AT)


def test_an_ended_or_lapsed_standing_consent_is_neither_agreed_nor_ended_again(
    marit: Person,
) -> None:
    head, curator = make_person(Role.HEAD_OF_COLLECTIONS), make_person(Role.CURATOR)
    row = standing(marit)
    said: dict[str, Any] = {"by": head, "role": Role.HEAD_OF_COLLECTIONS, "standing": row}
    with pytest.raises(Refused, match="ran out on"):
        agree_standing_consent(
            by=curator, role=Role.CURATOR, at=AT + timedelta(days=32), standing=row
        )
    with pytest.raises(Refused, match="Say why it ends"):
        end_standing_consent(**said, at=AT, why=" ")
    end_standing_consent(**said, at=AT, why="Dust was rubbed in.")
    with pytest.raises(Refused, match="was ended already"):
        end_standing_consent(**said, at=AT + HOUR, why="Again.")
    with pytest.raises(Refused, match="was ended: write a new one"):
        agree_standing_consent(by=curator, role=Role.CURATOR, at=AT + HOUR, standing=row)
    assert StandingConsent.objects.get(pk=row.pk).ended_at == AT


def test_only_curator_and_head_in_their_own_post_end_it(marit: Person) -> None:
    row = standing(marit)
    with pytest.raises(NotAllowed, match="ended by a curator or the head"):
        end_standing_consent(by=marit, role=Role.CONSERVATOR, at=AT, standing=row, why="Mine.")
    with pytest.raises(NotAllowed, match="is not curator here"):
        end_standing_consent(by=marit, role=Role.CURATOR, at=AT, standing=row, why="Mine.")
    assert StandingConsent.objects.get(pk=row.pk).ended_at is None
