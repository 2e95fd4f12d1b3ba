"""People at their screens: fill a form by its labels, press its button, read what it says."""

import re
from collections.abc import Mapping
from datetime import datetime
from pathlib import Path

from playwright.sync_api import Browser, Locator, Page

from tests.browser.conftest import Visitor

Value = str | bool | Path


class Walk:
    """Everybody who takes part in one showing, each signed in once and kept at their screen."""

    def __init__(self, browser: Browser, site: str, password: str) -> None:
        self.browser, self.site, self.password = browser, site, password
        self._visitors: dict[str, Visitor] = {}

    def at(self, name: str) -> Page:
        """The screen of this person."""
        if name not in self._visitors:
            self._visitors[name] = Visitor(self.browser, self.site, name)
        return self._visitors[name].page

    def close(self) -> None:
        for visitor in self._visitors.values():
            visitor.close()

    def go(self, name: str, address: str) -> Page:
        page = self.at(name)
        answer = page.goto(address)
        assert answer is not None, address
        assert answer.status == 200, (name, address, answer.status)
        return page

    def fill(self, page: Page, values: Mapping[str, Value], *, within: str = ".page") -> None:
        """Fill each field of the form by its ``name``; lists choose, true ticks, a path uploads."""
        for name, value in values.items():
            put(page.locator(f"{within} [name='{name}']"), value)

    def send(
        self, name: str, address: str, values: Mapping[str, Value], button: str, *, form: str = ""
    ) -> Page:
        """Open a form, fill it, press its button; a refusal fails with the words on the screen."""
        page = self.go(name, address)
        self.fill(page, values, within=form or ".page")
        return self.press(page, button, within=form or ".page")

    def press(self, page: Page, button: str, *, within: str = ".page") -> Page:
        before = page.url
        wanted = page.locator(f"{within} button").filter(has_text=re.compile(button))
        assert wanted.count(), (before, button, page.locator("main").inner_text()[-1500:])
        # Without waiting for the answer the next address would cut the sending short.
        with page.expect_navigation():
            wanted.first.click()
        complaints = said_against(page)
        assert not complaints, (before, button, complaints)
        return page


def put(field: Locator, value: Value) -> None:
    """Fill one control whatever its kind; what is folded away is unfolded as a person would."""
    first = field.first
    kind, folded = first.evaluate(
        "control => [control.tagName + ':' + (control.type || ''),"
        " control.closest('details:not([open])') !== null]"
    )
    if folded:
        for summary in first.locator("xpath=ancestor::details[not(@open)]/summary").all():
            summary.click()
    if kind.startswith("SELECT"):
        _choose(first, str(value))
    elif kind == "INPUT:file":
        first.set_input_files(str(value))
    elif kind == "INPUT:checkbox" and isinstance(value, bool):
        first.set_checked(value)
    elif kind in {"INPUT:checkbox", "INPUT:radio"}:
        _tick(field, str(value))
    else:
        first.fill(str(value))


def _choose(field: Locator, text: str) -> None:
    """Choose the option whose value is ``text``, or whose words hold it."""
    options = field.evaluate("select => [...select.options].map(o => [o.value, o.text])")
    if text in [value for value, _ in options]:
        field.select_option(text)
        return
    for value, words in options:
        if text.lower() in words.lower():
            field.select_option(value)
            return
    raise AssertionError(f"No option {text!r} among {options}")


def _tick(field: Locator, text: str) -> None:
    """Tick the box or button of a group whose value or label is ``text``."""
    for number in range(field.count()):
        control = field.nth(number)
        words = control.evaluate("c => c.labels && c.labels[0] ? c.labels[0].innerText : ''")
        if text in (control.get_attribute("value"), words.strip()):
            control.check()
            return
    raise AssertionError(f"Nothing called {text!r} to tick")


def said_against(page: Page) -> list[str]:
    """The reasons a page gives for not doing what was asked."""
    found = page.locator(".errorlist, .errors li, [role='alert'], .refusal li").all_inner_texts()
    return [text.strip() for text in found if text.strip()]


def links(page: Page) -> list[str]:
    """The addresses that the page and its margin lead to, in their order."""
    found = page.locator(".page a[href]").evaluate_all(
        "links => links.map(link => link.getAttribute('href'))"
    )
    return [str(link) for link in found]


def local(moment: datetime) -> str:
    """A moment as a date-and-time field wants it."""
    return moment.strftime("%Y-%m-%dT%H:%M")
