"""What the small scripts add, and that nothing needs them."""

import re

from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import Visitor


def object_form(page: Page) -> None:
    page.goto("/objects/new/")


def test_keys_jump_to_search_and_to_pages_and_can_be_switched_off(
    chromium: Browser, site: str
) -> None:
    visitor = Visitor(chromium, site, "Josephine Abara")
    page = visitor.page
    page.keyboard.press("/")
    expect(page.locator("#find")).to_be_focused()
    page.keyboard.type("o")
    assert page.locator("#find").input_value() == "o"
    page.locator("h1").click()
    page.keyboard.press("g")
    page.keyboard.press("o")
    page.wait_for_url("**/objects/")
    page.keyboard.press("?")
    dialog = page.locator("#keys")
    expect(dialog).to_be_visible()
    dialog.get_by_role("checkbox").uncheck()
    dialog.get_by_role("button", name="Close").click()
    page.keyboard.press("g")
    page.keyboard.press("p")
    page.wait_for_timeout(300)
    assert page.url.endswith("/objects/")
    visitor.close()


def test_a_draft_outlives_a_closed_page_and_goes_when_it_was_sent(
    chromium: Browser, site: str
) -> None:
    visitor = Visitor(chromium, site, "Josephine Abara")
    page = visitor.page
    object_form(page)
    page.get_by_label("Maker").fill("Edith Rowan")
    expect(page.locator(".draft-note")).to_have_text(
        re.compile(r"Draft saved in this browser \d\d:\d\d")
    )
    page.goto("/places/")
    object_form(page)
    assert page.get_by_label("Maker").input_value() == ""
    page.get_by_role("button", name="Put it back").click()
    assert page.get_by_label("Maker").input_value() == "Edith Rowan"
    page.get_by_label("Object number").fill("HCM.2026.901")
    page.get_by_role("button", name="Put it on record").click()
    expect(page.locator("[data-errors]")).to_be_focused()
    assert page.get_by_label("Maker").input_value() == "Edith Rowan"
    page.get_by_label("Title").fill("Rain gauge card")
    page.get_by_label("Object type").select_option(index=1)
    page.get_by_role("button", name="Put it on record").click()
    expect(page.locator("h1")).to_contain_text("Rain gauge card")
    object_form(page)
    assert page.get_by_role("button", name="Put it back").count() == 0
    visitor.close()


def test_a_draft_belongs_to_the_person_who_wrote_it(chromium: Browser, site: str) -> None:
    visitor = Visitor(chromium, site, "Josephine Abara")
    page = visitor.page
    object_form(page)
    page.get_by_label("Maker").fill("Edith Rowan")
    expect(page.locator(".draft-note")).to_contain_text("Draft saved")
    page.get_by_role("button", name="Sign out").click()
    page.get_by_role("button", name="Marit Oldacre").click()
    object_form(page)
    assert page.get_by_role("button", name="Put it back").count() == 0
    visitor.close()


def test_the_theme_switch_is_remembered_and_goes_back_to_the_same_page(
    chromium: Browser, site: str
) -> None:
    visitor = Visitor(chromium, site, "Josephine Abara")
    page = visitor.page
    page.goto("/objects/?q=plate")
    page.get_by_role("button", name="Gallery light").click()
    page.wait_for_url("**/objects/?q=plate")
    assert page.locator("html").get_attribute("data-theme") == "gallery"
    dark = page.evaluate("getComputedStyle(document.documentElement).backgroundColor")
    assert max(int(part) for part in re.findall(r"\d+", dark)[:3]) < 40
    page.get_by_role("button", name="Day light").click()
    page.wait_for_url("**/objects/?q=plate")
    assert page.locator("html").get_attribute("data-theme") == "day"
    visitor.close()


def test_the_list_narrows_as_one_types_and_the_address_keeps_it(
    chromium: Browser, site: str
) -> None:
    visitor = Visitor(chromium, site, "Josephine Abara")
    page = visitor.page
    page.goto("/objects/")
    before = page.locator("#objects-found tbody tr").count()
    page.get_by_label("Number, title or maker").fill("barometer")
    page.wait_for_url("**/objects/?q=barometer*")
    after = page.locator("#objects-found tbody tr").count()
    assert 0 < after < before
    page.reload()
    assert page.locator("#objects-found tbody tr").count() == after
    visitor.close()


def test_lists_forms_and_the_door_work_without_scripts(chromium: Browser, site: str) -> None:
    context = chromium.new_context(
        java_script_enabled=False, base_url=site, viewport={"width": 390, "height": 900}
    )
    page = context.new_page()
    page.goto("/sign-in/?next=/objects/")
    page.get_by_role("button", name="Josephine Abara").click()
    page.get_by_label("Number, title or maker").fill("barometer")
    page.get_by_role("button", name="Narrow the list").click()
    assert page.locator("#objects-found tbody tr").count() > 0
    page.locator(".menu summary").click()
    page.locator(".menu").get_by_role("link", name="Places").click()
    expect(page.locator("h1")).to_have_text("Places")
    page.locator(".menu summary").click()
    page.get_by_role("button", name="Gallery light").click()
    assert page.locator("html").get_attribute("data-theme") == "gallery"
    page.goto("/objects/new/")
    page.get_by_role("button", name="Put it on record").click()
    assert page.locator(".summary a").count() >= 2
    context.close()


def test_print_shows_the_record_without_the_house_around_it(chromium: Browser, site: str) -> None:
    visitor = Visitor(chromium, site, "Josephine Abara")
    page = visitor.page
    page.goto("/objects/")
    page.emulate_media(media="print")
    assert not page.locator(".masthead").is_visible()
    assert page.locator("h1").is_visible()
    ground = page.evaluate("getComputedStyle(document.documentElement).backgroundColor")
    assert ground == "rgb(255, 255, 255)"
    visitor.close()
