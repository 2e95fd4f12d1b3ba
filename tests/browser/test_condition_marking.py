"""Findings are marked on the picture by mouse, keys and finger, moved, undone and never lost."""

import re

from playwright.sync_api import Browser, Locator, Page, expect

from tests.browser.conftest import Visitor


def draft_of_the_diary(page: Page) -> str:
    """Start a call-back report of the diary and return its address."""
    page.goto("/find/?q=HCM.1908.12")
    page.wait_for_url(re.compile("/objects/"))  # one hit: the search lands on it
    page.get_by_role("link", name="Start a condition report").click()
    page.get_by_label("Kind of report").select_option("call_back")
    page.get_by_label("Reason").select_option(index=1)
    page.get_by_role("button", name="Start the report").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("Condition report CR-")
    return page.url


class OnPicture:
    """The first picture of a page: places on it in percent, tools beside it."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.svg = page.locator("svg.numbered-picture").first
        self.tools: Locator = page.locator("[data-mark-tools]").first
        self.svg.scroll_into_view_if_needed()

    def at(self, x: float, y: float) -> tuple[float, float]:
        frame = self.svg.bounding_box()
        assert frame is not None
        return frame["x"] + frame["width"] * x / 100, frame["y"] + frame["height"] * y / 100

    def choose(self, tool: str) -> None:
        self.tools.get_by_role("button", name=tool, exact=True).click()

    def click(self, *places: tuple[float, float]) -> None:
        for place in places:
            self.page.mouse.click(*self.at(*place))

    def tap(self, *places: tuple[float, float]) -> None:
        for place in places:
            self.page.touchscreen.tap(*self.at(*place))

    def drag(self, start: tuple[float, float], end: tuple[float, float]) -> None:
        self.page.mouse.move(*self.at(*start))
        self.page.mouse.down()
        self.page.mouse.move(*self.at(*end), steps=4)
        self.page.mouse.up()


def points(page: Page) -> list[list[float]]:
    rows = page.get_by_label("Its points").input_value().splitlines()
    return [[float(side) for side in row.split(",")] for row in rows]


def near(found: list[list[float]], wanted: list[tuple[float, float]]) -> bool:
    flat = [side for row in found for side in row], [side for row in wanted for side in row]
    return len(flat[0]) == len(flat[1]) and all(
        abs(one - other) < 0.6 for one, other in zip(*flat, strict=True)
    )


def record(page: Page) -> str:
    """Save the finding as it stands and return its name, F7."""
    page.get_by_label("Term").select_option(index=1)
    page.get_by_role("button", name="Record the finding").click()
    said = page.get_by_text(re.compile(r"F\d+ is recorded"))
    expect(said).to_be_visible()
    return said.inner_text().split()[0]


def test_by_mouse_a_scale_a_line_in_mm_a_move_and_an_undo(chromium: Browser, site: str) -> None:
    marit = Visitor(chromium, site, "Marit Oldacre")
    page = marit.page
    draft_of_the_diary(page)
    page.get_by_role("link", name=re.compile("Mark the scale")).first.click()
    OnPicture(page).click((10, 90), (60, 90))
    page.get_by_label("Distance between them").fill("200")
    page.get_by_role("button", name="Mark the scale").click()
    expect(page.get_by_text("200 mm marked on the ruler").first).to_be_attached()

    picture = OnPicture(page)
    known = picture.svg.locator("g:has(circle)").count()
    picture.choose("Line")
    picture.click((20, 20), (40, 20))
    expect(picture.tools.locator("output")).to_contain_text("about 80 mm long")
    picture.choose("Record this mark")
    page.wait_for_url(re.compile("/findings/"))
    assert near(points(page), [(20, 20), (40, 20)])
    expect(page.get_by_label("Kind of mark")).to_have_value("line")
    expect(page.get_by_label("Zone of the grid")).to_have_value("A1")
    OnPicture(page).choose("Use as length")
    assert abs(float(page.get_by_label("Length [mm]").input_value()) - 80) < 1
    name = record(page)
    expect(page.locator(f"#{name}")).to_contain_text("Marked as line in A1–A2")
    expect(page.locator(f"#{name}")).to_contain_text(re.compile("80 mm long, rounded to"))
    now = page.locator("svg.numbered-picture").first.locator("g:has(circle)")
    assert now.count() > known  # the numbers, and the layer of the mark that is being made

    # Change it: drag one end; each field is saved by itself; without a network nothing is lost.
    page.locator(f"#{name}").get_by_role("link", name=f"Change {name}").click()
    picture = OnPicture(page)
    status = page.locator(".draft-note")
    picture.drag((40, 20), (50, 45))
    assert near(points(page), [(20, 20), (50, 45)])
    expect(status).to_contain_text(re.compile(r"Saved \d\d:\d\d"))
    marit.context.set_offline(True)
    page.get_by_label("Note").fill("runs on below the flap")
    page.get_by_label("Note").blur()
    expect(status).to_contain_text("kept in this browser")
    marit.context.set_offline(False)
    expect(status).to_contain_text(re.compile(r"Saved \d\d:\d\d"))

    # By keys: choose the second corner, move it, undo on the picture, and leave.
    page.locator("[data-mark-keys]").focus()
    for key in ("n", "n", "ArrowRight", "ArrowRight"):
        page.keyboard.press(key)
    assert near(points(page), [(20, 20), (52, 45)])
    expect(page.locator("[data-mark-said]")).to_contain_text("Corner 2")
    for _ in range(2):
        page.keyboard.press("Control+z")
    assert near(points(page), [(20, 20), (50, 45)])
    page.get_by_role("button", name="Save the answer").click()
    expect(page.locator(f"#{name}")).to_contain_text("runs on below the flap")

    # On the server: the last change is undone, and done again.
    undo = page.locator(f"#{name}").get_by_role("button", name="Undo the last change")
    undo.click()
    expect(page.get_by_text("as it was before the last change")).to_be_visible()
    page.get_by_role("link", name="Sign the report").click()
    expect(page.get_by_text("It can’t be signed yet")).to_be_visible()
    marit.close()


def test_by_keys_alone_and_by_finger(chromium: Browser, site: str) -> None:
    marit = Visitor(chromium, site, "Marit Oldacre", width=820)
    page = marit.page
    address = draft_of_the_diary(page)
    page.get_by_role("link", name=re.compile("Record a finding")).first.click()
    OnPicture(page).choose("Outline")
    page.locator("[data-mark-keys]").focus()
    for way in ("ArrowLeft", "ArrowUp", "ArrowRight"):
        for _ in range(8):
            page.keyboard.press(way)
        page.keyboard.press("Enter")
    found = points(page)
    assert len(found) == 3
    expect(page.get_by_label("Kind of mark")).to_have_value("outline")
    page.keyboard.press("Backspace")
    assert points(page) == []  # two corners are no outline yet
    page.keyboard.press("Control+z")
    assert points(page) == found
    page.get_by_text("Its place by hand").click()
    page.get_by_label("Its points").fill("10, 10\n30, 10\n30, 30")  # typed, it is drawn
    page.get_by_label("Its points").blur()
    expect(page.locator(".new-mark polygon.mark-line")).to_be_attached()
    name = record(page)
    expect(page.locator(f"#{name}")).to_contain_text("Marked as outline in A1")

    tablet = chromium.new_context(
        viewport={"width": 820, "height": 1180},
        has_touch=True,
        storage_state=marit.context.storage_state(),
    )
    page = tablet.new_page()
    page.goto(address)
    picture = OnPicture(page)
    picture.tools.get_by_role("button", name="Box", exact=True).tap()
    picture.tap((60, 60), (80, 75))
    page.wait_for_url(re.compile("/findings/"))
    assert near(points(page), [(60, 60), (80, 75)])
    expect(page.get_by_label("Kind of mark")).to_have_value("box")
    picture = OnPicture(page)
    picture.tools.get_by_role("button", name="Point", exact=True).tap()
    picture.tap((20, 50))
    assert near(points(page), [(20, 50)])
    expect(page.get_by_label("Zone of the grid")).to_have_value("B1")
    picture.tools.get_by_role("button", name="Undo", exact=True).tap()
    assert near(points(page), [(60, 60), (80, 75)])
    record(page)
    tablet.close()
    marit.close()


def test_a_colour_spot_is_laid_out_by_a_tap_on_the_picture(chromium: Browser, site: str) -> None:
    marit = Visitor(chromium, site, "Marit Oldacre", width=390)
    page = marit.page
    page.goto("/find/?q=HCM.1908.12")
    page.wait_for_url(re.compile("/objects/"))
    page.get_by_role("link", name="Colour spots and their readings").click()
    page.get_by_role("link", name=re.compile("Lay out a spot")).first.click()
    svg = page.locator("[data-tap-spot] svg")
    frame = svg.bounding_box()
    assert frame is not None
    svg.click(position={"x": frame["width"] * 0.3, "y": frame["height"] * 0.6})
    found = [page.get_by_label(f"From {side} [%]").input_value() for side in ("left", "top")]
    assert abs(float(found[0]) - 30) < 0.6
    assert abs(float(found[1]) - 60) < 0.6
    page.get_by_label("From left [%]").fill("50")
    ring = svg.locator("circle").last
    assert float(ring.get_attribute("cx") or 0) == float(
        svg.evaluate("drawing => drawing.viewBox.baseVal.width / 2")
    )
    marit.close()
