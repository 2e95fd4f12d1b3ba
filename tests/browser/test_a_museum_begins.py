"""A museum of one's own on its first evening, as its steward walks it, in a real browser.

Started by the command people use on an empty folder. Everything is done through forms: the
house, its rules, three hundred objects from the steward's own workbook with bad lines in it, a
running exhibition of forty taken over, a colleague who signs in, and a backup that is proven.
"""

import re
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from tests.browser.own_spreadsheets import RUNNING, TO_COME, collection, filled, number
from tests.browser.walking import Value, put, said_against
from tests.running.house import House, wait_until, zone_past_two

pytestmark = [pytest.mark.slow, pytest.mark.broker]
PASSWORD = "rainwater falls slowly"
PATIENCE = 300  # seconds, for a machine that does much besides


@pytest.fixture
def house(tmp_path: Path) -> Iterator[House]:
    folder = tmp_path / "museum"
    folder.mkdir()
    begun = House(folder)
    try:
        yield begun
    finally:
        begun.end()


class Steward:
    """One person at one screen, who fills forms by the names of their fields."""

    def __init__(self, browser: Browser, house: House) -> None:
        self.context = browser.new_context(base_url=f"http://127.0.0.1:{house.port}")
        self.page: Page = self.context.new_page()

    def press(self, button: str) -> None:
        with self.page.expect_navigation():
            self.page.locator("main button").filter(has_text=re.compile(button)).first.click()
        assert not said_against(self.page), (button, said_against(self.page))

    def send(self, address: str, button: str, **values: Value | list[str]) -> None:
        """Open a form, fill it, press its button; lists tick several boxes."""
        self.page.goto(address)
        self.fill(**values)
        self.press(button)

    def fill(self, **values: Value | list[str]) -> None:
        for name, value in values.items():
            for one in value if isinstance(value, list) else [value]:
                put(self.page.locator(f"main [name='{name}']"), one)

    def words(self) -> str:
        return self.page.locator("main").inner_text()

    def wait(self, what: str, holds: Callable[[str], object]) -> str:
        """Look at the page again until it says something; it tells so by itself or when asked."""
        until = time.monotonic() + PATIENCE
        while time.monotonic() < until:
            self.page.reload()
            if holds(self.words()):
                return self.words()
            time.sleep(0.5)
        raise AssertionError(f"{what}: {self.words()[:2000]}")


def test_a_museum_is_in_within_its_first_evening(
    chromium: Browser, house: House, tmp_path: Path
) -> None:
    house.start("start")
    code = wait_until(
        "the code of this start",
        lambda: re.search(r"this code:\s+(\S+)[\s\S]+is ready", house.said()),
        PATIENCE,
    )
    steward = Steward(chromium, house)
    begin(steward, code[1])
    colleague = a_colleague_signs_in(steward, chromium, house)
    make_house(steward)
    approve_rules(steward)
    bring_objects(steward, tmp_path)
    take_over(steward, tmp_path)
    ask_for_spring(steward)

    steward.page.goto("/steward/")
    kept = steward.page.locator("#backups tbody")
    steward.wait("a proven backup", lambda _: kept.count() and "proven" in kept.inner_text())
    assert "not proven" not in kept.inner_text()
    steward.page.goto("/")
    assert "First steps" not in steward.words()  # every one of them is done
    colleague.page.goto("/")
    assert "readings due" in colleague.words()
    steward.context.close()
    colleague.context.close()


def begin(steward: Steward, code: str) -> None:
    steward.send(
        "/",
        "Begin",
        code=code,
        museum="Hollinshire County Museum",
        zone=zone_past_two().split("/")[1].lower(),
        paper_size="a4",
        full_name="Imogen Sayle",
        username="imogen",
        password=PASSWORD,
        again=PASSWORD,
    )
    assert "First steps" in steward.words()
    steward.page.get_by_role("link", name="give yourself a role").click()
    mine = steward.page.url
    for role in ("registrar", "head_of_collections"):
        steward.send(f"{mine}roles/new/", "Give the role", given=role)
    steward.page.goto("/")
    assert "For the" not in steward.words()


def a_colleague_signs_in(steward: Steward, browser: Browser, house: House) -> Steward:
    steward.send(
        "/people/new/",
        "Put on record",
        full_name="Marit Oldacre",
        roles=["conservator", "curator"],
        username="marit",
    )
    link = steward.page.locator("#one-time-link").input_value()
    colleague = Steward(browser, house)
    colleague.send(link, "Keep this password", password1=PASSWORD, password2=PASSWORD)
    assert "Today" in colleague.words()
    return colleague


def make_house(steward: Steward) -> None:
    steward.send("/light/timetables/new/", "Enter it", name="Gallery lamps")
    steward.send(
        f"{steward.page.url}hours/",
        "Enter the hours",
        weekdays=["1", "2", "3", "4", "5", "6"],
        starts="10:00",
        ends="17:00",
    )
    for values in (
        {"name": "Hollin House", "kind": "site"},
        {
            "name": "North Gallery",
            "kind": "room",
            "parent": "Hollin House",
            "timetable": "Gallery lamps",
            "public": True,
        },
        {"name": "N1–N8", "kind": "case", "parent": "North Gallery", "inside": "6"},
        {"name": "Main Store", "kind": "store", "parent": "Hollin House"},
        {"name": "Bay 1–Bay 12", "kind": "bay", "parent": "Main Store", "inside": "2"},
    ):
        steward.send("/places/new/", "Add the place", **values)


def approve_rules(steward: Steward) -> None:
    steward.send("/house-rules/start/", "Go on", figures="annual", size="small")
    steward.press("Approve")
    assert "in force" in steward.words()
    assert "no such period" not in steward.words()  # what runs may be taken over


def bring_objects(steward: Steward, folder: Path) -> None:
    book = collection(folder / "collection.xlsx")
    steward.send("/objects/bring-in/", "Read the table", table=book)
    steward.press("Show what would change")
    page = steward.page
    for word, meaning in (
        ("broadside", "add"),
        ("quilt", "textile"),
        ("cotton", "add"),
        ("sublimate", "mercury salts"),
    ):
        row = page.locator("tr").filter(has=page.locator(f"label:text('{word} stands for')"))
        row.locator("select").select_option(meaning)
    steward.press("Keep the answers")
    steward.press("Bring in 296 new and 0 changed objects")
    said = steward.wait("the objects written", lambda said: "lines not taken" in said)
    assert "296 new, 0 changed, 0 unchanged, 5 lines not taken." in said
    for reason in ("about 30", "made a date of this number", "poison!!", "needs a title"):
        assert reason in said, reason


def take_over(steward: Steward, folder: Path) -> None:
    steward.send(
        "/exhibitions/new/",
        "Put it on record",
        short="RBN",
        title="Rain by Noon",
        places=["North Gallery, Hollin House"],
        curators=["Marit Oldacre"],
        **RUNNING,
    )
    exhibition = steward.page.url
    sheet = steward.context.request.get(f"{exhibition}take-over-table.xlsx").body()
    steward.page.goto(f"{exhibition}take-over-list/")
    assert "Lit so far by “Gallery lamps”" in steward.words()
    steward.fill(file=filled(sheet, folder / "walls.xlsx"), conservator="Marit Oldacre")
    steward.press("Look at its lines")
    assert "38 lines can be taken over, 2 can’t yet." in steward.words()
    assert "Near it: HCM.1890.10" in steward.words()
    steward.press("Take over 38 objects")
    said = steward.wait("all taken over", lambda said: "2 lines left" in said)
    assert "38 of 40 objects are taken over." in said
    assert "no signed baseline report; no signed install check" in said
    steward.page.goto(exhibition)
    assert "38 objects on the list" in steward.words()
    assert "late" not in steward.words().split("Readiness")[0]


def ask_for_spring(steward: Steward) -> None:
    """May it be shown next spring? Yes; no, because; and one that hangs till then."""
    steward.send(
        "/exhibitions/new/",
        "Put it on record",
        short="SPR",
        title="Spring Hang",
        places=["North Gallery, Hollin House"],
        **TO_COME,
    )
    asked = [number(n) for n in (50, 52, 1)]  # a map, a quilt, and a broadside on the wall
    steward.send(f"{steward.page.url}ask-by-list/", "See the answers", text="\n".join(asked))
    said = steward.words()
    assert "Yes, allowed from" in said
    assert "house rules v1, class High allows 15,000 lx·h" in said
    assert "Dimmer:" in said
    assert "Also asked for by Rain by Noon" in said
