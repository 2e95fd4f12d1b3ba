"""The pages of a case: its making, its layout, its locks and its lamps."""

import pytest
from django.urls import reverse

from lifecycle.records.models.preparation import CaseReadiness, Lamp
from tests.builders.core import kept_by, make_place
from tests.builders.preparation import Workshop
from tests.pages.test_preparation_pages import client_of, picture, text

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop() -> Workshop:
    return Workshop()


def test_a_case_is_written_and_said_to_be_ready(shop: Workshop) -> None:
    sunniva = client_of(shop.sunniva)
    address = reverse("case-readiness", args=[shop.showing.uid])
    sunniva.post(
        address,
        {
            "version": "0",
            "construction_done_on": "2026-02-01",
            "cleaned_on": "2026-02-20",
            "test_logger": "L7",
            "test_from": "2026-02-21T09:00",
            "test_to": "2026-02-24T09:00",
            "test_result": "Inside the band.",
            "without_lamps": "on",
            "layout_file": picture("layout.png"),
        },
    )
    row = CaseReadiness.objects.get()
    sunniva.post(reverse("case-ready", args=[row.uid]), {"showing": shop.showing.request_no})
    assert CaseReadiness.objects.get().ready_by == shop.sunniva
    assert "ready no more" not in text(sunniva.get(address))
    row.refresh_from_db()
    row.test_outside = True
    row.keep(**kept_by())
    assert "ready no more" in text(sunniva.get(address))
    bad = sunniva.post(
        address, {"version": "1", "cleaned_on": "2026-02-30", "lamps": "Four spots."}
    )
    assert "This is no day" in text(bad)
    assert "Four spots." in text(bad)


def test_the_locks_of_a_case_are_for_those_who_may_see_store_bays(shop: Workshop) -> None:
    address = reverse("case-readiness", args=[shop.showing.uid])
    said = {"version": "0", "construction_done_on": "2026-02-01", "locks": "Key 7."}
    client_of(shop.marit).post(address, said)
    assert CaseReadiness.objects.get().locks == "Key 7."
    assert "Key 7." in text(client_of(shop.marit).get(address))
    assert "Key 7." not in text(client_of(shop.sunniva).get(address))
    client_of(shop.sunniva).post(address, {"version": "1", "lamps": "Four spots."})
    assert CaseReadiness.objects.get().locks == "Key 7."


def test_a_layout_is_read_by_those_who_see_what_it_is_laid_out_for(shop: Workshop) -> None:
    sent = {"version": "0", "construction_done_on": "2026-02-01", "layout_file": picture("l.png")}
    client_of(shop.sunniva).post(reverse("case-readiness", args=[shop.showing.uid]), sent)
    layout = CaseReadiness.objects.get().layout
    assert layout is not None
    address = reverse("document", args=[layout.sha256])
    assert client_of(shop.rufus).get(address).status_code == 403
    shop.mount()  # asked of Rufus: the showing is his job now
    assert client_of(shop.rufus).get(address).status_code == 200
    assert client_of(shop.ada).get(address).status_code == 403


def test_a_lamp_is_hung_changed_and_taken_out_on_its_pages(shop: Workshop) -> None:
    marit = client_of(shop.marit)
    new = reverse("lamp-new", args=[shop.place.uid])
    form = text(marit.get(new))
    for caution in ("hot and live", "never look into a lamp", "Height and lamps"):
        assert caution.lower() in form.lower()
    said = {
        "version": "0",
        "name": "L1",
        "where": "inside",
        "position": "left",
        "kind": "led",
        "changed_at": "2026-02-24T09:00",
        "happened": "changed",
        "dim_percent": "140",
    }
    bad = text(marit.post(new, said))
    assert "less than or equal to 100" in bad
    assert 'value="140"' in bad
    marit.post(new, said | {"dim_percent": "40"})
    row = Lamp.objects.get()
    change = reverse("lamp-change", args=[row.uid])
    marit.post(change, said | {"version": "1", "dim_percent": "60", "happened": "record"})
    marit.post(change, said | {"version": "1", "dim_percent": "70"})
    assert Lamp.objects.get().dim_percent == 60
    assert "record of the lamp put right" in text(marit.get(change))
    case_page = text(marit.get(reverse("case-readiness", args=[shop.showing.uid])))
    assert "left; inside the case" in case_page
    assert change in case_page
    inside = make_place("inside", parent=shop.place)
    beside = reverse("place-lamps", args=[inside.uid])
    seen_from_inside = text(marit.get(beside))
    assert change not in seen_from_inside
    assert reverse("place-lamps", args=[shop.place.uid]) in seen_from_inside
    proof = text(marit.get(reverse("light-proof", args=[shop.showing.uid])))
    assert 'value="L1 60 %"' in proof
    gone = {"why": "Flickers", "changed_at": "2026-02-24T10:00", "happened": "changed"}
    marit.post(reverse("lamp-out", args=[row.uid]), gone)
    listed = text(marit.get(reverse("place-lamps", args=[shop.place.uid])))
    assert "Taken out" in listed
    assert reverse("lamp-change", args=[row.uid]) not in listed
