"""The steward's page: mails that need a decision, work with its progress, nobody else's door."""

import uuid
from collections.abc import Callable
from datetime import timedelta

import pytest
from django.utils.timezone import now

from lifecycle.process.stages import Role
from lifecycle.records.models import Letter, MailState, Message, Work, WorkKind, WorkState
from tests.builders.core import make_museum, make_person
from tests.builders.work import make_letter, make_message, make_work
from tests.pages.signing_in import visitor

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def museum() -> None:
    make_museum()


def test_a_lost_letter_stands_there_and_is_sent_again_with_one_click() -> None:
    person = make_person(name="Ada Kestrel")
    letter = make_letter(
        person=person, state=MailState.CLAIMED, claimed_at=now(), answer="The line went dead."
    )
    steward = visitor(Role.STEWARD)
    page = steward.get("/steward/").content.decode()
    assert "Ada Kestrel" in page
    assert "perhaps not sent" in page
    assert "The line went dead." in page
    answer = steward.post(f"/steward/mail/letter/{letter.uid}/send-again/", follow=True)
    assert "The letter to Ada Kestrel will be sent again." in answer.content.decode()
    letter.refresh_from_db()
    assert letter.state == MailState.DUE


@pytest.mark.parametrize("make", [make_letter, make_message])
@pytest.mark.parametrize(
    ("state", "minutes_ago", "answer", "words"),
    [
        (MailState.CLAIMED, 60, "", "perhaps not sent"),
        (MailState.CLAIMED, 0, "The line went dead.", "perhaps not sent"),
        (MailState.CLAIMED, 0, "", "being handed over"),
        (MailState.HANDED_OVER, 0, "", "handed over"),
    ],
)
def test_among_the_last_mails_a_lost_one_reads_as_the_trouble_it_is(
    make: Callable[..., object], state: MailState, minutes_ago: int, answer: str, words: str
) -> None:
    make(state=state, claimed_at=now() - timedelta(minutes=minutes_ago), answer=answer)
    page = visitor(Role.STEWARD).get("/steward/").content.decode()
    last = page[page.index("Last letters") :]
    assert words in last
    assert "claimed" not in last
    assert ('class="mark attend"' in last) is (words == "perhaps not sent")


def test_a_refused_message_can_be_left_unsent() -> None:
    message = make_message(state=MailState.REFUSED, answer="550 no such person")
    visitor(Role.STEWARD).post(f"/steward/mail/message/{message.uid}/leave-unsent/")
    assert Message.objects.get().state == MailState.LEFT_UNSENT


def test_a_mail_that_went_out_meanwhile_is_not_sent_twice() -> None:
    letter = make_letter(state=MailState.HANDED_OVER)
    answer = visitor(Role.STEWARD).post(
        f"/steward/mail/letter/{letter.uid}/send-again/", follow=True
    )
    assert "This mail is handed over." in answer.content.decode()
    assert Letter.objects.get().state == MailState.HANDED_OVER


def test_work_shows_its_progress_and_stops_when_asked() -> None:
    work = make_work(
        state=WorkState.RUNNING,
        worker="one",
        lease_until=now(),
        done=50,
        total=80,
        doing="50 of 80 records and files checked",
        findings=["Scan <b>x</b>: its file is missing from the store."],
    )
    steward = visitor(Role.STEWARD)
    page = steward.get("/steward/").content.decode()
    assert '<progress max="80" value="50">' in page
    assert "Scan &lt;b&gt;x&lt;/b&gt;: its file is missing" in page
    steward.post(f"/steward/work/{work.uid}/stop/")
    assert Work.objects.get().stop_asked_at is not None


def test_a_check_is_asked_for_once() -> None:
    steward = visitor(Role.STEWARD)
    steward.post("/steward/check/")
    answer = steward.post("/steward/check/", follow=True)
    assert "A check is under way already" in answer.content.decode()
    assert Work.objects.count() == 1


def test_a_backup_is_asked_for_once_and_stands_there_when_it_is_made() -> None:
    steward = visitor(Role.STEWARD)
    assert "No backup has been made yet." in steward.get("/steward/").content.decode()
    answer = steward.post("/steward/backup/", follow=True)
    assert "The backup has been asked for" in answer.content.decode()
    answer = steward.post("/steward/backup/", follow=True)
    assert "A backup is being made already" in answer.content.decode()
    work = Work.objects.get()
    work.state = WorkState.DONE
    work.findings = ["The rows of records_person differ."]
    work.results = {
        "folder": "/backups/showrest-2026-06-02T09-00-00Z",
        "taken_at": "2026-06-02T09:00:00+00:00",
        "size": 9_400_000,
        "rows": 4491,
        "files": 106,
        "proven": False,
    }
    work.save()
    page = steward.get("/steward/").content.decode()
    for words in (
        "not proven",
        "9.0\xa0MB",
        "4491 rows, 106 files",
        "differ.",
        work.results["folder"],
    ):
        assert words in page
    later = {"folder": "/backups/later", "removed": ["showrest-2026-06-02T09-00-00Z"]}
    Work.objects.create(
        kind=work.kind, key="backup/later", asked_at=now(), state=WorkState.DONE, results=later
    )
    page = steward.get("/steward/").content.decode()
    assert "kept no longer" in page
    assert work.results["folder"] not in page


# Guests hold a pass, not a post: the door's own tests turn them away.
OTHERS = [role for role in Role if role not in {Role.STEWARD, Role.COURIER, Role.LENDER}]


@pytest.mark.parametrize("role", OTHERS)
def test_the_page_is_the_stewards_alone(role: Role) -> None:
    letter = make_letter(state=MailState.REFUSED)
    other = visitor(role)
    assert other.get("/steward/").status_code == 403
    assert other.post(f"/steward/mail/letter/{letter.uid}/send-again/").status_code == 403
    assert other.post("/steward/check/").status_code == 403
    assert other.post("/steward/backup/").status_code == 403
    assert not Work.objects.exists()
    letter.refresh_from_db()
    assert letter.state == MailState.REFUSED


def test_forged_addresses_are_not_found_and_nothing_is_done_by_looking() -> None:
    steward = visitor(Role.STEWARD)
    forged = uuid.uuid4()
    assert steward.post(f"/steward/mail/letter/{forged}/send-again/").status_code == 404
    assert steward.post(f"/steward/mail/parcel/{forged}/send-again/").status_code == 404
    assert steward.post(f"/steward/work/{forged}/stop/").status_code == 404
    letter = make_letter(state=MailState.REFUSED)
    assert steward.get(f"/steward/mail/letter/{letter.uid}/send-again/").status_code == 405


@pytest.mark.parametrize("rows", [1, 3])
def test_the_page_takes_as_many_queries_for_three_rows_as_for_one(
    rows: int, django_assert_max_num_queries: object
) -> None:
    for number in range(rows):
        make_letter(state=MailState.REFUSED)
        make_message(state=MailState.REFUSED)
        make_work(key=str(number))
        make_work(key=f"b{number}", state=WorkState.DONE, asked_by=make_person())
    Work.objects.filter(key__startswith="b").update(kind=WorkKind.BACKUP)
    steward = visitor(Role.STEWARD)
    steward.get("/steward/")
    with django_assert_max_num_queries(40):  # type: ignore[operator]
        steward.get("/steward/")
