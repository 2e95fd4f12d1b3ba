"""Tasks laid aside on one's own page: seen, or quiet until a day; never what is stopped."""

from datetime import date, timedelta
from typing import Any

import pytest
from django.db import IntegrityError, transaction

from lifecycle.actions import put_by as laying_aside
from lifecycle.actions.put_by import bring_back, put_by
from lifecycle.actions.refusals import Refused
from lifecycle.process.duties.duty import Band
from lifecycle.process.duties.put_by import Laid, keeps_quiet
from lifecycle.process.stages import Role
from lifecycle.queries.morning import morning_of
from lifecycle.queries.today import TodayLine, today_of
from lifecycle.records.models import Person, PutBy
from tests.builders.core import AT, DAY, make_museum, make_person
from tests.builders.light import make_meter
from tests.pages.signing_in import visitor

pytestmark = pytest.mark.django_db
A_DAY = timedelta(days=1)


@pytest.fixture
def tamsin() -> Person:
    """A steward with one task: a meter whose calibration is due in ten days."""
    make_museum()
    make_meter(name="Meter 7", calibration_due=DAY + 10 * A_DAY)
    return make_person(Role.STEWARD, name="Tamsin Reed")


def task(person: Person, after: timedelta = timedelta()) -> TodayLine:
    (line,) = today_of(person, AT + after)
    return line


@pytest.mark.parametrize("band", list(Band))
@pytest.mark.parametrize("before", [one for one in Band if one is not Band.HARD_OVERDUE])
def test_a_task_speaks_again_when_it_presses_more_and_what_is_stopped_always(
    before: Band, band: Band
) -> None:
    worse = band < before or band is Band.HARD_OVERDUE
    assert keeps_quiet(Laid(before), band, DAY) is not worse
    assert keeps_quiet(Laid(before, DAY + A_DAY), band, DAY) is not worse
    assert not keeps_quiet(Laid(before, DAY), band, DAY)


def test_what_was_seen_is_quiet_on_page_and_in_the_letter_until_it_presses_more(
    tamsin: Person,
) -> None:
    colleague = make_person(Role.STEWARD)
    put_by(by=tamsin, at=AT, key=task(tamsin).key)
    assert task(tamsin).laid == Laid(Band.FOUR_WEEKS)
    assert morning_of(person=tamsin, day=DAY, at=AT).lines == ()
    assert task(colleague).laid is None
    assert task(tamsin, 3 * A_DAY).band is Band.THIS_WEEK
    assert task(tamsin, 3 * A_DAY).laid is None
    assert len(morning_of(person=tamsin, day=DAY, at=AT + 3 * A_DAY).lines) == 1


def test_the_newest_word_counts_and_what_was_put_by_is_brought_back(tamsin: Person) -> None:
    key = task(tamsin).key
    with pytest.raises(Refused, match="is not put by"):
        bring_back(by=tamsin, at=AT, key=key)
    put_by(by=tamsin, at=AT, key=key)
    put_by(by=tamsin, at=AT, key=key, until=DAY + 2 * A_DAY)
    assert task(tamsin, A_DAY).laid is not None
    assert task(tamsin, 2 * A_DAY).laid is None
    bring_back(by=tamsin, at=AT, key=key)
    assert task(tamsin).laid is None


@pytest.mark.parametrize("until", [DAY, DAY - A_DAY, DAY + 61 * A_DAY])
def test_a_task_is_put_by_to_a_day_ahead_within_sixty_days(tamsin: Person, until: date) -> None:
    with pytest.raises(Refused, match="Choose a day from tomorrow to") as refused:
        put_by(by=tamsin, at=AT, key=task(tamsin).key, until=until)
    assert refused.value.reasons[0].field == "until"
    put_by(by=tamsin, at=AT, key=task(tamsin).key, until=DAY + 60 * A_DAY)


def test_only_an_own_task_that_is_not_stopped_is_put_by(
    tamsin: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    line = task(tamsin)
    stranger = make_person(Role.CURATOR)
    for deed in (put_by, bring_back):
        with pytest.raises(Refused, match="settled, or no longer yours"):
            deed(by=stranger, at=AT, key=line.key)
    stopped: Any = TodayLine(
        key="held:1",
        text="Decide on the hold.",
        why="",
        due_on=None,
        band=Band.HARD_OVERDUE,
        role=Role.CONSERVATOR,
        url_name="hold",
        url_kwargs={},
    )
    monkeypatch.setattr(laying_aside, "today_of", lambda person, at: [stopped])
    with pytest.raises(Refused, match="stays until it is settled"):
        put_by(by=tamsin, at=AT, key=stopped.key)
    for wrong in ({"band": Band.HARD_OVERDUE}, {"band": 6}, {"until": DAY, "back": True}):
        values: dict[str, Any] = {"person": tamsin, "key": "k", "at": AT, "band": Band.TODAY}
        with pytest.raises(IntegrityError), transaction.atomic():
            PutBy(**(values | wrong)).append()


def test_through_the_page(tamsin: Person) -> None:
    """The house's clock is the machine's here: the meter is overdue, and stays so."""
    client = visitor(person=tamsin)
    page = client.get("/").content.decode()
    where = page.split('href="/today/put-by/?key=')[1].split('"')[0]
    assert client.get("/today/put-by/?key=nothing").status_code == 404
    form = f"/today/put-by/?key={where}"
    assert "Send Meter 7 to be calibrated." in client.get(form).content.decode()
    late = client.post(form, {"until": "2020-01-01"}).content.decode()
    assert "Choose a day from tomorrow" in late
    said = client.post(form, {"until": ""}, follow=True).content.decode()
    assert "Put by (1)" in said
    assert "/today/put-by/" not in said
    key = PutBy.objects.get().key
    back = client.post("/today/bring-back/", {"key": key}, follow=True).content.decode()
    assert "/today/put-by/" in back
    again = client.post("/today/bring-back/", {"key": key}, follow=True).content.decode()
    assert "is not put by" in again
