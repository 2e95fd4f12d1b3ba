"""One showing from the curator's request to the object back in store, in a real browser.

Seven people, each at their own screen, on the started demo; nothing is put into the database
by any other way than the forms.
"""

from pathlib import Path

import pytest
from playwright.sync_api import Browser

from lifecycle.exchange.demo_data import demo_password
from lifecycle.exchange.demo_pictures import drawn
from tests.browser import deeds, gallery_deeds
from tests.browser.walking import Walk

pytestmark = pytest.mark.slow


def test_one_object_goes_from_request_to_rest(chromium: Browser, site: str, tmp_path: Path) -> None:
    picture = tmp_path / "broadsheet.jpg"
    picture.write_bytes(drawn("card"))
    walk = Walk(chromium, site, demo_password())
    trip = deeds.Trip(walk=walk, picture=picture)

    deeds.enter_object(trip)
    deeds.ask(trip)
    deeds.answer_and_take_in(trip)
    deeds.baseline(trip)
    deeds.treat(trip)
    gallery_deeds.assess(trip)
    gallery_deeds.make_everything(trip)
    deeds.move(trip, deeds.MARIT, "declare_ready", "^Declare")
    gallery_deeds.put_up(trip)
    gallery_deeds.turn(trip)
    gallery_deeds.take_down(trip)
    gallery_deeds.check_at_bench(trip)
    gallery_deeds.go_home(trip)

    page = walk.go(deeds.JOSEPHINE, trip.showing)
    words = page.locator(".page").inner_text()
    walk.close()
    assert "returned" in words
    for done in (
        "asked for",
        "taken in for examination",
        "treatment begun",
        "treatment finished",
        "declared ready",
        "installed",
        "taken out of its place",
        "back on display",
        "taken down",
        "checked after display",
        "sent home",
    ):
        assert done in words, done
