"""One letter for each person and day: claimed once, its answer noted, never sent on a guess."""

import time
from collections.abc import Callable
from datetime import timedelta
from unittest.mock import patch

import pytest
from django.core import mail as outbox
from django.utils.timezone import now

from lifecycle.actions.refusals import NotAllowed, Refused
from lifecycle.actions.work import mail, tell, waking
from lifecycle.actions.work.letters import make_due_letters
from lifecycle.jobs import letters
from lifecycle.jobs.postman import Answer, Fate
from lifecycle.letters.morning import MailText
from lifecycle.process.stages import Role
from lifecycle.queries.letters import troubled_mails
from lifecycle.records.models import Heartbeat, Letter, MailState, Message
from tests.builders.core import AT, make_museum, make_person
from tests.builders.locks import locked_rows
from tests.builders.work import make_letter, make_message

pytestmark = pytest.mark.django_db

TEXT = MailText("Tuesday 2 June: 1 late", "Read the light at case 4.\n")


@pytest.fixture(autouse=True)
def something_to_say(monkeypatch: pytest.MonkeyPatch) -> None:
    """What the letter says is tested elsewhere; here it is enough that there is something."""
    monkeypatch.setattr(letters, "morning_letter", lambda morning, site: TEXT)


def todays_letter(**values: object) -> Letter:
    at = now()
    return make_letter(day=at.date(), at=at, **values)  # type: ignore[arg-type]


def answered(fate: Fate, said: str = "") -> Callable[[object], Answer]:
    return lambda _mail: Answer(fate, said)


def test_a_letter_is_handed_over_and_its_row_says_so() -> None:
    letter = todays_letter()
    letters.send_letter(str(letter.uid))
    letter.refresh_from_db()
    assert letter.state == MailState.HANDED_OVER
    assert (letter.subject, letter.body) == (TEXT.subject, TEXT.body)
    assert [sent.to for sent in outbox.outbox] == [[letter.person.email]]
    assert Heartbeat.objects.filter(part="mail").exists()


def test_a_message_delivered_twice_sends_one_letter() -> None:
    letter = todays_letter()
    letters.send_letter(str(letter.uid))
    letters.send_letter(str(letter.uid))
    assert len(outbox.outbox) == 1


def test_two_workers_with_the_same_letter_in_hand_send_it_once() -> None:
    letter = todays_letter()
    second = Letter.objects.get(pk=letter.pk)
    at = now()
    assert mail.claim(mail=letter, subject="a", body="a", worker="one", at=at)
    assert not mail.claim(mail=second, subject="b", body="b", worker="two", at=at)
    letter.refresh_from_db()
    assert (letter.worker, letter.subject, letter.attempts) == ("one", "a", 1)


def test_a_letter_that_somebody_else_claims_at_the_last_moment_is_not_handed_over() -> None:
    letter = todays_letter()
    with patch.object(mail, "claim", return_value=False):
        letters.send_letter(str(letter.uid))
    letter.refresh_from_db()
    assert (letter.state, outbox.outbox) == (MailState.DUE, [])


def test_the_tick_writes_each_persons_letter_once_a_day() -> None:
    make_museum(zone="UTC")
    make_person(letter_hour=0)
    at = now()
    assert make_due_letters(at=at) == 1
    assert make_due_letters(at=at + timedelta(seconds=1)) == 0
    assert Letter.objects.count() == 1


def test_the_demo_writes_the_days_letters_whatever_the_hour() -> None:
    make_museum(zone="UTC")
    make_person(letter_hour=23)
    early = now().replace(hour=1)
    assert make_due_letters(at=early) == 0
    assert make_due_letters(at=early, whatever_hour=True) == 1


def test_an_empty_letter_is_closed_without_a_mail(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(letters, "morning_letter", lambda morning, site: None)
    letter = todays_letter()
    letters.send_letter(str(letter.uid))
    letter.refresh_from_db()
    assert (letter.state, outbox.outbox) == (MailState.NOTHING_TO_SAY, [])


def test_a_refused_letter_is_tried_again_after_a_pause_that_grows() -> None:
    letter = todays_letter()
    with patch.object(letters, "hand_over", answered(Fate.REFUSED, "450 busy")):
        letters.send_letter(str(letter.uid))
        letter.refresh_from_db()
        assert (letter.state, letter.answer) == (MailState.REFUSED, "450 busy")
        first = letter.next_try_at - now()
        letters.send_letter(str(letter.uid))  # too early: nothing happens
        letter.refresh_from_db()
        assert letter.attempts == 1
        Letter.objects.filter(pk=letter.pk).update(next_try_at=now())
        letters.send_letter(str(letter.uid))
        letter.refresh_from_db()
        assert letter.next_try_at - now() > first + timedelta(minutes=3)
    Letter.objects.filter(pk=letter.pk).update(next_try_at=now())
    letters.send_letter(str(letter.uid))
    letter.refresh_from_db()
    assert (letter.state, letter.attempts, len(outbox.outbox)) == (MailState.HANDED_OVER, 3, 1)


def test_a_letter_whose_fate_is_unknown_is_never_sent_again_by_itself() -> None:
    letter = todays_letter()
    with patch.object(letters, "hand_over", answered(Fate.UNKNOWN, "The line went dead.")):
        letters.send_letter(str(letter.uid))
    letters.send_letter(str(letter.uid))
    with patch.object(mail, "wake") as wake:
        assert mail.sweep(at=now() + timedelta(days=3)) == 0
    letter.refresh_from_db()
    assert (letter.state, letter.answer) == (MailState.CLAIMED, "The line went dead.")
    assert (wake.call_count, outbox.outbox) == (0, [])


def lost_track(letter: Letter) -> None:
    mail.fate_unknown(mail=letter, answer="The line went dead.")


LATE_WORDS: dict[str, Callable[[Letter], object]] = {
    "taken": lambda letter: mail.handed_over(mail=letter, at=AT, answer="Handed over."),
    "refused": lambda letter: mail.refused(mail=letter, at=AT, answer="450 busy"),
    "unknown": lost_track,
    "nothing to say": lambda letter: mail.nothing_to_say(mail=letter, at=AT),
    "too late": lambda letter: mail.too_late(mail=letter, at=AT),
    "not written": lambda letter: mail.not_written(mail=letter, at=AT, trouble="It broke."),
}


@pytest.mark.parametrize("word", LATE_WORDS)
@pytest.mark.parametrize("state", [MailState.HANDED_OVER, MailState.CLAIMED])
def test_a_worker_that_speaks_late_changes_nothing_that_another_has_in_hand(
    word: str, state: MailState
) -> None:
    letter = make_letter(state=MailState.CLAIMED, claimed_at=AT, worker="slow")
    Letter.objects.filter(pk=letter.pk).update(state=state, worker="quick", answer="250 taken")
    if word == "unknown" and state == MailState.CLAIMED:
        return  # what it says is true of both: nobody knows
    LATE_WORDS[word](letter)
    letter.refresh_from_db()
    assert (letter.state, letter.worker, letter.answer) == (state, "quick", "250 taken")


def test_the_pause_before_another_try_grows_to_an_hour_and_no_further() -> None:
    for attempts, minutes in ((1, 5), (2, 10), (4, 40), (5, 60), (30, 60)):
        Letter.objects.all().delete()
        letter = make_letter(state=MailState.CLAIMED, claimed_at=AT, worker="w", attempts=attempts)
        mail.refused(mail=letter, at=AT, answer="450 busy")
        letter.refresh_from_db()
        assert letter.next_try_at == AT + timedelta(minutes=minutes)


def test_a_letter_under_way_for_the_second_time_is_not_taken_for_lost() -> None:
    letter = todays_letter(state=MailState.REFUSED, answer="450 busy")
    assert mail.claim(mail=letter, subject="a", body="a", worker="one", at=now())
    assert troubled_mails(at=now()) == []


def test_a_letter_of_yesterday_is_left_unsent() -> None:
    letter = make_letter(day=(now() - timedelta(days=2)).date(), at=now() - timedelta(days=2))
    letters.send_letter(str(letter.uid))
    letter.refresh_from_db()
    assert (letter.state, outbox.outbox) == (MailState.LEFT_UNSENT, [])


def test_a_letter_that_cannot_be_written_is_put_off_and_claims_nothing(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def broken(morning: object, site: str) -> MailText:
        raise ZeroDivisionError

    monkeypatch.setattr(letters, "morning_letter", broken)
    letter = todays_letter()
    letters.send_letter(str(letter.uid))
    letter.refresh_from_db()
    assert (letter.state, letter.claimed_at) == (MailState.REFUSED, None)


def test_the_message_id_comes_from_the_rows_key_and_stays_when_sent_again() -> None:
    letter = todays_letter()
    letters.send_letter(str(letter.uid))
    Letter.objects.filter(pk=letter.pk).update(state=MailState.DUE)
    letters.send_letter(str(letter.uid))
    ids = [sent.extra_headers["Message-ID"] for sent in outbox.outbox]
    assert ids == [f"<letter.{letter.day}.{letter.uid.hex}@localhost>"] * 2


def test_a_key_tells_a_person_once() -> None:
    person = make_person()
    about = {"key": "incident/IN-0001", "subject": "Act\nnow", "body": "Seen.", "at": AT}
    first = tell(person=person, **about)  # type: ignore[arg-type]
    tell(person=person, **about)  # type: ignore[arg-type]
    assert first is not None
    assert (Message.objects.count(), first.subject) == (1, "Act now")


def test_people_without_an_address_or_after_their_last_day_are_not_told() -> None:
    gone = make_person(ends_on=AT.date() - timedelta(days=1))
    for person in (make_person(email=""), gone):
        assert tell(person=person, key="k", subject="s", body="b", at=AT) is None
    assert Message.objects.count() == 0


def test_a_broker_that_is_down_is_no_error_for_the_person(
    django_capture_on_commit_callbacks: Callable[..., object],
    caplog: pytest.LogCaptureFixture,
) -> None:
    with django_capture_on_commit_callbacks(execute=True):  # type: ignore[attr-defined]
        message = tell(person=make_person(), key="k", subject="s", body="b", at=AT)
    assert message is not None
    assert message.state == MailState.DUE
    assert "The broker does not answer" in caplog.text


def test_a_message_goes_out_with_its_own_words() -> None:
    message = make_message(at=now())
    letters.send_message(str(message.uid))
    letters.send_message(str(message.uid))
    assert [(sent.subject, sent.body) for sent in outbox.outbox] == [
        (message.subject, message.body)
    ]


def test_the_sweep_wakes_what_is_due_and_what_may_be_tried_again() -> None:
    due = make_letter()
    again = make_message(state=MailState.REFUSED)
    make_message(key="later", state=MailState.REFUSED).__class__.objects.filter(key="later").update(
        next_try_at=AT + timedelta(hours=1)
    )
    with patch.object(mail, "wake", return_value=True) as wake:
        assert mail.sweep(at=AT) == 2
    assert {call.args[1] for call in wake.call_args_list} == {str(due.uid), str(again.uid)}


def test_the_steward_sends_a_lost_letter_again() -> None:
    steward = make_person(Role.STEWARD)
    letter = make_letter(state=MailState.CLAIMED, claimed_at=AT)
    at = AT + timedelta(minutes=5)
    with locked_rows() as held:  # two stewards decide one after the other
        mail.send_again(kind=Letter, uid=str(letter.uid), by=steward, role=Role.STEWARD, at=at)
    letter.refresh_from_db()
    assert (letter.state, letter.next_try_at, letter.decided_by) == (MailState.DUE, at, steward)
    assert held == ["Letter"]


def test_the_steward_leaves_a_lost_letter_unsent() -> None:
    steward = make_person(Role.STEWARD)
    letter = make_letter(state=MailState.CLAIMED, claimed_at=AT, answer="The line went dead.")
    mail.leave_unsent(kind=Letter, uid=str(letter.uid), by=steward, role=Role.STEWARD, at=AT)
    letter.refresh_from_db()
    assert (letter.state, letter.ended_at) == (MailState.LEFT_UNSENT, AT)


@pytest.mark.parametrize(
    "state", [MailState.CLAIMED, MailState.HANDED_OVER, MailState.DUE, MailState.NOTHING_TO_SAY]
)
def test_a_mail_under_way_or_done_is_not_sent_again(state: MailState) -> None:
    steward = make_person(Role.STEWARD)
    letter = make_letter(state=state, claimed_at=AT)
    with pytest.raises(Refused, match="perhaps not sent"):
        mail.send_again(kind=Letter, uid=str(letter.uid), by=steward, role=Role.STEWARD, at=AT)


def test_only_the_steward_decides() -> None:
    registrar = make_person(Role.REGISTRAR)
    letter = make_letter(state=MailState.REFUSED)
    with pytest.raises(NotAllowed):
        mail.send_again(kind=Letter, uid=str(letter.uid), by=registrar, role=Role.REGISTRAR, at=AT)


def test_a_broker_that_is_down_keeps_nobody_waiting() -> None:
    begun = time.monotonic()
    for _ in range(5):
        assert not waking.wake(waking.SEND_LETTER, "x")
    assert time.monotonic() - begun < 1.5
