"""Pictures looked into with mouse, keys and fingers; another light laid over and matched."""

import re
from io import BytesIO

from PIL import Image
from playwright.sync_api import Browser, CDPSession, Page, expect

from tests.browser.conftest import Visitor

SCALE = "document.querySelector('[data-viewer]').viewer.scale()"


def big_picture(quality: int) -> bytes:
    """Larger than any screen, so that the worker cuts it into levels."""
    out = BytesIO()
    Image.linear_gradient("L").resize((3300, 2400)).convert("RGB").save(
        out, "JPEG", quality=quality
    )
    return out.getvalue()


def add_to_a_draft(page: Page, name: str, data: bytes, light: str) -> None:
    """Lay a new picture under a face of a draft, in a light."""
    page.get_by_role("link", name=re.compile("(Change the|Add a) picture")).first.click()
    page.locator("input[type=file]").set_input_files(
        {"name": name, "mimeType": "image/jpeg", "buffer": data}
    )
    page.locator("select[name=light]").select_option(light)
    page.get_by_role("button", name="Save this face").click()
    expect(page.get_by_text("is saved.")).to_be_visible()


def touch(session: CDPSession, kind: str, *fingers: tuple[float, float]) -> None:
    points = [{"x": x, "y": y, "id": number} for number, (x, y) in enumerate(fingers)]
    session.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})


def part(page: Page) -> dict[str, float]:
    seen: dict[str, float] = page.evaluate("document.querySelector('[data-viewer]').viewer.part()")
    return seen


def test_a_picture_is_looked_into_and_another_light_is_laid_over_it(
    chromium: Browser, site: str
) -> None:
    marit = Visitor(chromium, site, "Marit Oldacre")
    page = marit.page
    said: list[str] = []
    page.on("console", lambda line: said.append(line.text) if line.type == "error" else None)
    page.on("pageerror", lambda error: said.append(str(error)))
    page.goto("/find/?q=HCM.1908.12")
    page.wait_for_url(re.compile("/objects/"))
    page.get_by_role("link", name="Start a condition report").click()
    page.get_by_label("Kind of report").select_option("call_back")
    page.get_by_label("Reason").select_option(index=1)
    page.get_by_role("button", name="Start the report").click()
    add_to_a_draft(page, "even.jpg", big_picture(70), "diffuse")
    add_to_a_draft(page, "uv.jpg", big_picture(60), "uv_fluorescence")
    page.get_by_role("link", name="Look closer, in other light").first.click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("UV (fluorescence seen)")
    expect(page.get_by_text("Wear goggles rated for UV")).to_be_attached()
    here = page.url

    # Mouse, wheel and keys.
    window = page.locator(".viewer-window")
    page.get_by_role("button", name="Zoom in").click()
    assert page.evaluate(SCALE) == 1.5
    window.focus()
    before = part(page)
    page.keyboard.press("ArrowRight")
    assert part(page)["left"] > before["left"]
    page.keyboard.press("0")
    assert page.evaluate(SCALE) == 1
    window.hover()
    page.mouse.wheel(0, -300)
    assert page.evaluate(SCALE) > 1.5
    page.keyboard.press("1")
    expect(page.locator("output[data-viewer-scale]")).to_contain_text("×")
    assert abs(part(page)["pixel"] - 1) < 0.01

    # The worker has cut it by now, or will have in a moment; then the finest parts come.
    for _ in range(40):
        page.reload()
        if not page.get_by_text("Finer parts of this picture are being made").count():
            break
        page.wait_for_timeout(500)
    with page.expect_response(re.compile(r"/levels/0/\d+-\d+/$")) as finest:
        page.get_by_role("button", name="Every pixel").click()
    assert finest.value.status == 200
    expect(page.locator("image[data-tiles] + g image").first).to_be_attached()

    # Another light over it: slid, matched by points, swapped; blinking is the person's choice.
    page.get_by_label("Lay a picture in another light over it").select_option(index=0)
    page.get_by_role("button", name="Lay it over").click()
    expect(page.get_by_text("laid edge upon edge")).to_be_visible()
    page.locator("[data-lights-range]").fill("100")
    assert page.locator("[data-slid]").get_attribute("x") == "0"
    page.get_by_role("button", name="Swap").click()
    expect(page.locator("[data-lights-said]")).to_have_text("lower picture")
    assert page.evaluate("document.querySelector('[data-upper]').style.opacity") == "0"
    expect(page.get_by_role("button", name="Blink slowly")).to_be_visible()
    page.get_by_role("link", name="Mark points that both show").click()
    for column, row in ((0.2, 0.2), (0.8, 0.3), (0.4, 0.8)):
        for side in ("lower", "upper"):
            picture = page.locator(f"[data-points={side}] svg")
            frame = picture.bounding_box()
            assert frame is not None
            at = {"x": frame["width"] * column, "y": frame["height"] * row}
            picture.click(position={"x": at["x"], "y": at["y"]})
    page.get_by_role("button", name="Lay them by these points").click()
    expect(page.get_by_text(re.compile(r"3 points marked by Marit Oldacre.* px"))).to_be_visible()
    assert not said, said

    # Two fingers on a tablet that asks for less motion: no blinking there.
    tablet = chromium.new_context(
        viewport={"width": 820, "height": 1180},
        has_touch=True,
        reduced_motion="reduce",
        storage_state=marit.context.storage_state(),
    )
    slate = tablet.new_page()
    slate.goto(page.url)
    expect(slate.get_by_role("button", name="Swap")).to_be_visible()
    expect(slate.get_by_role("button", name="Blink slowly")).to_be_hidden()
    frame = slate.locator(".viewer-window").bounding_box()
    assert frame is not None
    x, y = frame["x"] + frame["width"] / 2, frame["y"] + frame["height"] / 3
    session = tablet.new_cdp_session(slate)
    touch(session, "touchStart", (x - 40, y), (x + 40, y))
    for apart in (60, 90, 120):
        touch(session, "touchMove", (x - apart, y), (x + apart, y))
    touch(session, "touchEnd")
    assert 2.5 < slate.evaluate(SCALE) < 3.5
    before = part(slate)
    touch(session, "touchStart", (x, y))
    for away in (20, 60, 100):
        touch(session, "touchMove", (x - away, y - away))
    touch(session, "touchEnd")
    after = part(slate)
    assert after["left"] > before["left"]
    assert after["top"] > before["top"]

    # Without scripts it is a picture, and the points can be written by hand.
    plain = chromium.new_context(
        java_script_enabled=False, storage_state=marit.context.storage_state()
    )
    bare = plain.new_page()
    bare.goto(here)
    shown = bare.locator("svg.looked-into")
    expect(shown).to_be_visible()
    box = shown.bounding_box()
    assert box is not None
    assert box["height"] > 100
    expect(bare.get_by_role("button", name="Zoom in")).to_be_hidden()
    for context in (plain, tablet):
        context.close()
    marit.close()
