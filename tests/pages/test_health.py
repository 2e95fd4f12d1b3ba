"""The health page says what is not at work, to people in words and to a monitor in a number."""

from datetime import timedelta
from typing import Any
from unittest.mock import patch

import pytest
from django.db import DatabaseError, connection
from django.test import Client
from django.utils.timezone import now

from lifecycle.process.stages import Role
from lifecycle.queries import health as health_queries
from lifecycle.queries.health import Part, health
from lifecycle.records.models import Heartbeat, MailState, Work, WorkKind, WorkState
from lifecycle.records.triggers import lift_triggers, make_triggers
from tests.builders.core import AT, make_museum
from tests.builders.work import make_letter
from tests.pages.signing_in import visitor

pytestmark = pytest.mark.django_db


def part(name: str, at: Any = AT) -> Part:
    return next(found for found in health(at=at) if found.name == name)


def test_a_part_that_was_seen_is_well_and_one_silent_for_a_minute_is_not() -> None:
    Heartbeat.objects.create(part="worker", host="a", seen_at=AT)
    assert part("worker", AT + timedelta(seconds=59)).well
    assert not part("worker", AT + timedelta(seconds=61)).well
    assert part("schedule").text == "The schedule has never been seen."


def test_a_broker_that_does_not_answer_is_said_and_takes_a_second_at_most() -> None:
    begun = now()
    broker = part("broker")
    assert not broker.well
    assert "Pages work" in broker.text
    assert now() - begun < timedelta(seconds=3)


def test_missing_guards_of_signed_records_are_counted() -> None:
    assert part("signed records").well
    lift_triggers(connection)
    try:
        missing = part("signed records")
    finally:
        make_triggers(connection)
    assert not missing.well
    assert "guards of signed and once-written rows are missing" in missing.text


@pytest.mark.parametrize(
    ("state", "said"),
    [(MailState.REFUSED, "1 refused"), (MailState.CLAIMED, "1 perhaps not sent")],
)
def test_mails_that_did_not_go_out_are_counted(state: MailState, said: str) -> None:
    assert part("mail").well
    make_letter(state=state, claimed_at=AT - timedelta(minutes=6))
    mail = part("mail")
    assert not mail.well
    assert said in mail.text


def test_mail_that_waits_for_long_is_not_well() -> None:
    make_letter()
    assert part("mail", AT + timedelta(minutes=15)).well
    assert not part("mail", AT + timedelta(minutes=16)).well


def test_a_monitor_reads_a_number_and_strangers_read_no_details(client: Client) -> None:
    answer = client.get("/health/?format=json")
    assert answer.status_code == 503  # no broker, no worker in this test
    said = answer.json()
    assert said["parts"]["web"] == {"well": True}
    assert said["parts"]["broker"] == {"well": False}
    with patch("lifecycle.pages.health.health") as well:
        well.return_value = [Part("web", well=True, text=""), Part("database", well=True, text="")]
        assert client.get("/health/?format=json").status_code == 200


def test_people_signed_in_read_what_is_the_matter() -> None:
    make_museum()
    page = visitor(Role.CURATOR).get("/health/").content.decode()
    assert "The worker has never been seen." in page


def test_strangers_see_the_page_without_details(client: Client) -> None:
    make_museum()
    page = client.get("/health/").content.decode()
    assert "Sign in to read what is the matter" in page
    assert "never been seen" not in page


def test_without_a_database_the_page_still_says_so(client: Client) -> None:
    with patch.object(health_queries, "_database", side_effect=DatabaseError("gone")):
        answer = client.get("/health/")
    assert answer.status_code == 503
    assert "The database does not answer." in answer.content.decode()


@pytest.mark.parametrize("hosts", [1, 3])
def test_health_takes_as_many_queries_for_three_hosts_as_for_one(
    hosts: int, django_assert_max_num_queries: Any
) -> None:
    for number in range(hosts):
        Heartbeat.objects.create(part="worker", host=str(number), seen_at=AT)
    with django_assert_max_num_queries(12):
        health(at=AT)


def backed_up(*, hours: int, **values: Any) -> None:
    """A backup that ended so many hours before ``AT``."""
    taken = AT - timedelta(hours=hours)
    results = {"taken_at": taken.isoformat(), "folder": "/backups/x", "proven": True}
    values.setdefault("results", results)
    values.setdefault("state", WorkState.DONE)
    Work.objects.create(
        kind=WorkKind.BACKUP, key=f"backup/{Work.objects.count()}", asked_at=taken, **values
    )


def test_a_proven_backup_of_last_night_is_well_and_one_of_the_night_before_is_not() -> None:
    make_museum()
    assert part("backup").text == "No backup has been made yet; one is due every night."
    backed_up(hours=26)
    assert part("backup").well
    assert part("backup").text == "The last backup is 26 hours old, and proven by restoring it."
    assert not part("backup", AT + timedelta(minutes=1)).well
    backed_up(hours=1)
    assert part("backup", AT + timedelta(minutes=1)).well


def test_a_backup_that_is_not_proven_or_that_failed_is_not_well() -> None:
    backed_up(hours=3)
    backed_up(hours=2, state=WorkState.FAILED, results={}, doing="Went wrong: no room.")
    assert part("backup").text.endswith("a later one failed: Went wrong: no room.")
    assert not part("backup").well
    taken = {"taken_at": AT.isoformat(), "folder": "/backups/y", "proven": False}
    backed_up(hours=0, results=taken)
    assert not part("backup").well
    assert "not proven" in part("backup").text


def test_a_first_backup_that_never_comes_is_not_well() -> None:
    make_museum()
    backed_up(hours=27, state=WorkState.STOPPED, results={})
    assert not part("backup").well
    assert "No backup was made, though asked for since" in part("backup").text


def test_the_demo_need_not_be_backed_up() -> None:
    make_museum(is_demo=True)
    assert part("backup").well
    assert "The demo is not backed up by itself" in part("backup").text
