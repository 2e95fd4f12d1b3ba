"""Write, send, freeze, change: a proposal version by version."""

from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.db import DatabaseError, transaction

from lifecycle.actions.refusals import Conflict, NotAllowed, Refused
from lifecycle.actions.treatment import (
    MaterialDraft,
    OptionDraft,
    StepDraft,
    drop_proposal,
    log_step,
    next_version,
    open_proposal,
    send_version,
    write_version,
)
from lifecycle.actions.treatment.writing import VersionDraft
from lifecycle.process.stages import Role, Stage
from lifecycle.queries.signed_text.registry import faults_of, kind_of
from lifecycle.queries.treatment.reading import options_of
from lifecycle.records.models import Person, Showing
from lifecycle.records.models.treatment import Proposal, ProposalVersion, Undo
from tests.builders.core import (
    AT,
    make_exhibition,
    make_face,
    make_museum,
    make_person,
    make_showing,
)
from tests.builders.treatment import (
    HOUR,
    agree,
    done,
    draft,
    hand_of,
    make_material,
    make_proposal,
    make_sent,
    make_signed_report,
    put_at,
    step_word,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def marit() -> Person:
    make_museum()
    return make_person(Role.CONSERVATOR, name="Marit Oldacre")


def write(
    person: Person, version: ProposalVersion, edition: int, said: VersionDraft
) -> ProposalVersion:
    return write_version(
        by=person,
        role=Role.CONSERVATOR,
        at=AT,
        version=version,
        edition=edition,
        draft=said,
    )


def test_a_proposal_opens_with_do_nothing_among_its_options(marit: Person) -> None:
    opened = open_proposal(by=marit, role=Role.CONSERVATOR, at=AT, showing=make_showing())
    (option,) = options_of(opened.versions.get())
    assert (option.do_nothing, option.undo) == (True, Undo.NOTHING_DONE)


def test_one_open_proposal_a_leg_is_enough(marit: Person) -> None:
    first = make_proposal(marit)
    assert first.showing is not None
    with pytest.raises(Refused, match=f"{first.proposal_no} .* is open"):
        open_proposal(by=marit, role=Role.CONSERVATOR, at=AT, showing=first.showing)
    after = open_proposal(
        by=marit, role=Role.CONSERVATOR, at=AT, showing=first.showing, aftercare=True
    )
    assert after.aftercare


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"based_on": None}, "based_on"),
        ({"aim": None}, "aim"),
        ({"aim_text": ""}, "aim_text"),
        ({"why": " "}, "why"),
        ({"stop_rules": ""}, "stop_rules"),
        ({"hours_est": None}, "hours_est"),
        ({"finish_by": None}, "finish_by"),
        ({"steps": ()}, "steps"),
    ],
)
def test_every_starred_field_is_asked_for_before_it_is_sent(
    marit: Person, values: dict[str, Any], field: str
) -> None:
    showing = make_showing()
    opened = open_proposal(by=marit, role=Role.CONSERVATOR, at=AT, showing=showing)
    values.setdefault("based_on", make_signed_report(showing.museum_object, by=marit))
    version = write(marit, opened.versions.get(), 1, draft(**values))
    with pytest.raises(Refused) as refused:
        send_version(hand=hand_of(marit, Role.CONSERVATOR), at=AT, version=version)
    assert [reason.field for reason in refused.value.reasons] == [field]


def test_do_nothing_alone_or_chosen_is_no_proposal(marit: Person) -> None:
    nothing = OptionDraft(what="Do nothing.", undo=Undo.NOTHING_DONE, do_nothing=True)
    alone = make_proposal(marit, options=(nothing,))
    with pytest.raises(Refused, match="at least one option beside"):
        send_version(hand=hand_of(marit, Role.CONSERVATOR), at=AT, version=alone.versions.get())
    chosen = OptionDraft(what="Do nothing.", undo=Undo.NOTHING_DONE, do_nothing=True, chosen=True)
    other = OptionDraft(what="Mend.", undo=Undo.CAN_BE_UNDONE)
    idle = make_proposal(marit, options=(chosen, other))
    with pytest.raises(Refused, match="drop the proposal"):
        send_version(hand=hand_of(marit, Role.CONSERVATOR), at=AT, version=idle.versions.get())


def bad_drafts(version: ProposalVersion) -> dict[str, VersionDraft]:
    foreign = make_face()
    nothing = OptionDraft(what="Do nothing.", undo=Undo.NOTHING_DONE, do_nothing=True)
    mend = OptionDraft(what="Mend.", undo=Undo.CAN_BE_UNDONE, chosen=True)
    return {
        "hours_est": draft(hours_est=Decimal("-1")),
        "finish_by": draft(start_not_before=date(2026, 7, 2), finish_by=date(2026, 7, 1)),
        "based_on": draft(based_on=make_signed_report(foreign.museum_object)),
        "options": draft(options=(nothing, mend, mend)),
        "materials": draft(
            materials=(MaterialDraft(material=make_material("x"), concentration=Decimal(101)),)
        ),
        "steps": draft(steps=(StepDraft(step=step_word("mend"), face=foreign),)),
    }


@pytest.mark.parametrize(
    "field", ["hours_est", "finish_by", "based_on", "options", "materials", "steps"]
)
def test_what_cannot_be_true_is_refused_at_its_field(marit: Person, field: str) -> None:
    proposal = make_proposal(marit)
    version = proposal.versions.get()
    with pytest.raises(Refused) as refused:
        write(marit, version, version.edition, bad_drafts(version)[field])
    assert {reason.field for reason in refused.value.reasons} == {field}
    assert ProposalVersion.objects.get(pk=version.pk).edition == version.edition


def test_the_second_of_two_people_gets_both_texts_and_loses_nothing(marit: Person) -> None:
    proposal = make_proposal(marit)
    piers = make_person(Role.CONSERVATOR, name="Piers Hallam")
    version = proposal.versions.get()
    edition = version.edition
    write(marit, version, edition, draft(based_on=version.based_on, why="Marit's reason."))
    with pytest.raises(Conflict) as conflict:
        write(piers, version, edition, draft(based_on=version.based_on, why="Piers's reason."))
    assert conflict.value.theirs["why"] == "Marit's reason."
    assert conflict.value.mine["why"] == "Piers's reason."
    assert conflict.value.by == "Marit Oldacre"
    saved = write(
        piers, version, conflict.value.version, draft(based_on=version.based_on, why="Both.")
    )
    assert saved.why == "Both."


def test_the_choice_moves_from_one_option_to_another(marit: Person) -> None:
    proposal = make_proposal(marit)
    version = proposal.versions.get()
    nothing = OptionDraft(what="Do nothing.", undo=Undo.NOTHING_DONE, do_nothing=True)
    rows = (
        nothing,
        OptionDraft(what="Mend locally.", undo=Undo.CAN_BE_UNDONE),
        OptionDraft(what="Line.", undo=Undo.CANNOT_BE_UNDONE, chosen=True),
    )
    write(marit, version, version.edition, draft(based_on=version.based_on, options=rows))
    assert [option.what for option in options_of(version) if option.chosen] == ["Line."]


def test_a_row_taken_out_is_left_out_and_kept_in_history(marit: Person) -> None:
    proposal = make_proposal(marit)
    version = proposal.versions.get()
    write(marit, version, version.edition, draft(based_on=version.based_on, materials=()))
    (row,) = version.materials.all()
    assert row.left_out
    assert row.history.count() == 2


def test_a_sent_version_is_frozen_by_code_and_by_the_database(marit: Person) -> None:
    version = make_sent(marit)
    with pytest.raises(Refused, match="sent and is frozen"):
        write(marit, version, version.edition, draft())
    version.why = "Quietly changed."
    with pytest.raises(DatabaseError), transaction.atomic():
        version.save()
    option = options_of(version)[0]
    option.what = "Quietly changed."
    with pytest.raises(DatabaseError), transaction.atomic():
        option.save()


def test_its_digest_is_of_the_words_that_stand_there(marit: Person) -> None:
    version = ProposalVersion.objects.get(pk=make_sent(marit).pk)
    assert list(faults_of(version, kind_of(version))) == []
    assert "Mend locally." in version.signed_text
    assert "Any movement of ink." in version.signed_text


def test_the_next_version_is_a_copy_that_needs_its_own_consent(marit: Person) -> None:
    version = make_sent(marit)
    fresh = next_version(by=marit, role=Role.CONSERVATOR, at=AT + HOUR, proposal=version.proposal)
    assert (fresh.version, fresh.signed, fresh.why) == (2, False, version.why)
    assert [o.what for o in options_of(fresh)] == [o.what for o in options_of(version)]
    with pytest.raises(Refused, match=r"v2 .* was not sent yet"):
        next_version(by=marit, role=Role.CONSERVATOR, at=AT, proposal=version.proposal)


def test_it_is_sent_once_however_often_it_is_pressed(marit: Person) -> None:
    version = make_sent(marit)
    with pytest.raises(Refused, match="was sent already"):
        send_version(hand=hand_of(marit, Role.CONSERVATOR), at=AT, version=version)


def with_a_step(marit: Person) -> Proposal:
    wen = make_person(Role.CURATOR)
    exhibition = make_exhibition()
    exhibition.curators.add(wen)
    showing: Showing = make_showing(exhibition=exhibition)
    version = make_sent(marit, showing=showing)
    agree(wen, version, at=AT)
    put_at(showing, Stage.TREATMENT)
    log_step(
        by=marit,
        role=Role.CONSERVATOR,
        at=AT + HOUR,
        museum_object=showing.museum_object,
        proposal=version.proposal,
        done=done(step_word("mend"), at=AT + HOUR),
    )
    return version.proposal


def test_a_proposal_is_dropped_with_a_reason_unless_something_was_done(marit: Person) -> None:
    proposal = make_proposal(marit)
    with pytest.raises(Refused, match="Say why"):
        drop_proposal(by=marit, role=Role.CONSERVATOR, at=AT, proposal=proposal, why=" ")
    dropped = drop_proposal(
        by=marit, role=Role.CONSERVATOR, at=AT, proposal=proposal, why="Shown as it is."
    )
    assert dropped.dropped_at == AT
    with pytest.raises(Refused, match="Steps were done"):
        drop_proposal(
            by=marit, role=Role.CONSERVATOR, at=AT, proposal=with_a_step(marit), why="Late."
        )


@pytest.mark.parametrize(
    "role", [Role.CURATOR, Role.REGISTRAR, Role.HEAD_OF_COLLECTIONS, Role.TECHNICIAN]
)
def test_only_conservators_propose(role: Role) -> None:
    make_museum()
    with pytest.raises(NotAllowed):
        open_proposal(by=make_person(role), role=role, at=AT, showing=make_showing())
