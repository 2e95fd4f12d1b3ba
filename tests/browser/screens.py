"""What every screen is held to: it answers, nothing overflows, axe finds nothing."""

from dataclasses import dataclass

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

IGNORED: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Fault:
    where: str
    what: str


def faults_of(page: Page, address: str) -> list[Fault]:
    """Open one address and return everything that is wrong with the screen."""
    answer = page.goto(address)
    if answer is None or answer.status != 200:
        return [Fault(address, f"answered {answer.status if answer else 'nothing'}")]
    found = []
    beyond = page.evaluate(
        "document.documentElement.scrollWidth - document.documentElement.clientWidth"
    )
    if beyond > 0:
        found.append(Fault(address, f"{beyond} px wider than the screen"))
    if page.locator("h1").count() != 1:
        found.append(Fault(address, f"{page.locator('h1').count()} h1"))
    found += [
        Fault(address, f"{violation['id']}: {violation['help']} ({violation['nodes'][0]['html']})")
        for violation in Axe().run(page).response["violations"]
        if violation["id"] not in IGNORED
    ]
    return found


def links_of(page: Page) -> list[str]:
    """The addresses of our own pages that this screen leads to, in their order."""
    found: list[str] = page.eval_on_selector_all(
        "main a[href^='/'], nav a[href^='/']",
        "links => links.map(link => link.getAttribute('href').split('#')[0])",
    )
    return list(dict.fromkeys(link for link in found if link))
