"""A finding is marked on the picture by mouse and by finger, and stands there with its number."""

import re

from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import Visitor

PERCENT = re.compile(r"box_(left|top|width|height)=([0-9.]+)")


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


def place_on(page: Page) -> dict[str, float]:
    return {name: float(value) for name, value in PERCENT.findall(page.url)}


def test_a_box_is_dragged_recorded_and_numbered(chromium: Browser, site: str) -> None:
    marit = Visitor(chromium, site, "Marit Oldacre")
    page = marit.page
    draft_of_the_diary(page)
    picture = page.locator("svg.numbered-picture").first
    picture.scroll_into_view_if_needed()
    frame = picture.bounding_box()
    assert frame is not None
    known = picture.locator("g").count()
    page.mouse.move(frame["x"] + frame["width"] * 0.70, frame["y"] + frame["height"] * 0.70)
    page.mouse.down()
    page.mouse.move(frame["x"] + frame["width"] * 0.80, frame["y"] + frame["height"] * 0.85)
    page.mouse.up()
    page.wait_for_url(re.compile("/findings/"))
    box = place_on(page)
    assert all(
        abs(box[name] - wanted) < 0.5
        for name, wanted in {"left": 70, "top": 70, "width": 10, "height": 15}.items()
    ), box
    expect(page.get_by_label("Zone of the grid")).to_have_value("C3")
    page.get_by_label("Term").select_option(index=1)
    page.get_by_role("button", name="Record the finding").click()
    expect(page.locator("svg.numbered-picture").first.locator("g")).to_have_count(known + 1)
    page.get_by_role("link", name="Sign the report").click()
    expect(page.get_by_text("It can’t be signed yet")).to_be_visible()
    marit.close()


def test_a_finger_marks_a_point(chromium: Browser, site: str) -> None:
    marit = Visitor(chromium, site, "Marit Oldacre", width=820)
    address = draft_of_the_diary(marit.page)
    tablet = chromium.new_context(
        viewport={"width": 820, "height": 1180},
        has_touch=True,
        storage_state=marit.context.storage_state(),
    )
    page = tablet.new_page()
    page.goto(address)
    picture = page.locator("svg.numbered-picture").first
    picture.scroll_into_view_if_needed()
    frame = picture.bounding_box()
    assert frame is not None
    page.touchscreen.tap(frame["x"] + frame["width"] * 0.2, frame["y"] + frame["height"] * 0.5)
    page.wait_for_url(re.compile("/findings/"))
    box = place_on(page)
    assert abs(box["left"] + box["width"] / 2 - 20) < 1
    assert abs(box["top"] + box["height"] / 2 - 50) < 1
    expect(page.get_by_label("Zone of the grid")).to_have_value("B1")
    tablet.close()
    marit.close()
