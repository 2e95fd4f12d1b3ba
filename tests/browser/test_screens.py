"""Every screen that the demo people reach by links, at three widths, in both themes."""

import re
from collections import defaultdict

import pytest
from playwright.sync_api import Browser

from tests.browser.conftest import WIDTHS, Visitor
from tests.browser.screens import Fault, faults_of, links_of

PEOPLE = {
    "Marit Oldacre": "desk",
    "Bram Oduya": "phone",
    "Wen Castellane": "tablet",
    "Josephine Abara": "desk",
    "Rufus Tiller": "tablet",
    "Ada Kestrel": "tablet",
    "Gil Perrin": "phone",
    "Sunniva Platt": "desk",
    "Odile Marchbank": "tablet",
    "Tamsin Rook": "desk",
    "Lev Ardmore": "phone",
}
FILES = re.compile(
    r"^/(pictures|documents|media|static|admin)/|\.pdf|\.(csv|xlsx)|/sign-out|/(csv|pdf|text|annotations)/$"
)
EACH = {"/showings/<uid>/": 3, "/objects/<uid>/": 2, "/exhibitions/<uid>/": 2}
"""How many pages of one kind a person opens, where not one: showings differ by their stage."""
PEOPLE_EACH = 3
"""So many people open a kind of page, at three widths; to the next ones it looks alike."""
TOGETHER: dict[str, int] = defaultdict(int)


def kind_of(address: str) -> str:
    """The address with everything that differs from row to row taken out."""
    plain = re.sub(r"[0-9a-f]{8}-[0-9a-f-]{27}", "<uid>", address.split("?")[0])
    return re.sub(r"/[A-Z0-9]{7}(?=/|$)", "/<code>", plain)


@pytest.mark.parametrize(("name", "width"), PEOPLE.items())
def test_a_demo_person_finds_no_fault_on_any_screen(
    chromium: Browser, site: str, name: str, width: str
) -> None:
    visitor = Visitor(chromium, site, name, width=WIDTHS[width])
    faults: list[Fault] = []
    opened: dict[str, int] = defaultdict(int)
    waiting, seen = ["/", "/help/"], {"/", "/help/"}  # help is linked from the foot alone
    while waiting:
        address = waiting.pop(0)
        kind = kind_of(address)
        most = EACH.get(kind, 1)
        if FILES.search(address) or opened[kind] >= most:
            continue
        if TOGETHER[kind] >= most * PEOPLE_EACH and kind != "/":
            continue
        opened[kind] += 1
        TOGETHER[kind] += 1
        faults += faults_of(visitor.page, address)
        for link in links_of(visitor.page):
            if link not in seen:
                seen.add(link)
                waiting.append(link)
    visitor.close()
    assert faults == []
    assert opened["/"] == 1
