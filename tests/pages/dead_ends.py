"""Follow the links that a person is shown, from Today on, to whatever does not answer."""

import re
from collections import defaultdict
from html.parser import HTMLParser

from django.test import Client

from lifecycle.records.models import Person

EACH = 3
"""How many pages of one kind are opened for one person."""
LEFT_OUT = re.compile(r"^/(sign-out|static|accounts/logout)|^/admin/")


class Links(HTMLParser):
    """Collects the addresses of links within our own pages."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        href = dict(attrs).get("href") or ""
        if tag == "a" and href.startswith("/"):
            self.found.append(href.split("#")[0])


def kind_of(address: str) -> str:
    """The address with everything that differs from row to row taken out."""
    plain = re.sub(r"[0-9a-f]{8}-[0-9a-f-]{27}", "<uid>", address.split("?")[0])
    plain = re.sub(r"[0-9a-f]{64}", "<sha>", plain)
    return re.sub(r"/[A-Z0-9]{7}(?=/|$)", "/<code>", plain)


def walls_of(person: Person) -> tuple[list[str], int]:
    """Follow every link from Today on; return what did not answer, and how many kinds did."""
    assert person.account is not None
    client = Client()
    client.force_login(
        person.account, backend="allauth.account.auth_backends.AuthenticationBackend"
    )
    walls: list[str] = []
    opened: dict[str, int] = defaultdict(int)
    waiting, seen = [("/", "")], {"/"}
    while waiting:
        address, source = waiting.pop(0)
        kind = kind_of(address)
        if LEFT_OUT.match(address) or opened[kind] >= EACH:
            continue
        opened[kind] += 1
        answer = client.get(address)
        if answer.status_code not in (200, 302):
            walls.append(f"{answer.status_code} {address} (from {source})")
        if answer.status_code != 200 or not answer["Content-Type"].startswith("text/html"):
            continue
        links = Links()
        links.feed(answer.content.decode())
        for link in links.found:
            if link not in seen:
                seen.add(link)
                waiting.append((link, address))
    return walls, len(opened)
