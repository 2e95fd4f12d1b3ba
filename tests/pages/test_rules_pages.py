"""House rules through pages: a starting set, the gates, one exhibition otherwise."""

import re
from datetime import date
from html import unescape

import pytest
from django.test import Client

from lifecycle.process.stages import Role, Stage
from lifecycle.queries.days_off import days_off_of
from lifecycle.records.models import GateSwitch, HouseRules, SensitivityClass
from tests.builders.core import make_exhibition, make_museum, make_person
from tests.builders.display import planned_showing, put_at
from tests.pages.signing_in import visitor

pytestmark = pytest.mark.django_db


def fields_of(page: str) -> dict[str, str]:
    """What a browser would send when a page's form is sent as it stands."""
    sent = {}
    for tag in re.findall(r"<input[^>]*>", page):
        said = dict(re.findall(r'(\w+)="([^"]*)"', tag))
        if said.get("type") in ("checkbox", "radio") and not re.search(r"\bchecked\b", tag):
            continue
        if "name" in said:
            sent[said["name"]] = unescape(
                said.get("value", "on" if said.get("type") == "checkbox" else "")
            )
    for name, inner in re.findall(r'<select[^>]*name="([^"]*)"[^>]*>(.*?)</select>', page, re.S):
        chosen = re.search(r'<option[^>]*value="([^"]*)"[^>]*\bselected\b', inner)
        first = re.search(r'<option[^>]*value="([^"]*)"', inner)
        found = chosen or first
        sent[name] = unescape(found[1]) if found else ""
    for name, text in re.findall(r'<textarea[^>]*name="([^"]*)"[^>]*>(.*?)</textarea>', page, re.S):
        sent[name] = unescape(text.strip())
    return sent


@pytest.fixture
def head() -> Client:
    make_museum()
    return visitor(Role.HEAD_OF_COLLECTIONS)


def test_a_starting_set_is_seen_edited_and_approved(head: Client) -> None:
    page = head.get("/house-rules/start/").content.decode()
    assert "Topics in Photographic Preservation 9 (2001)" in page
    assert "15,000" in page
    answer = head.post("/house-rules/start/", {"figures": "annual", "size": "small"}, follow=True)
    form = answer.content.decode()
    assert SensitivityClass.objects.filter(code__in=["high", "medium", "low"]).count() == 3
    sent = fields_of(form)
    assert sent["medium-allowance_lx_h"] == "150000"
    assert sent["days_G1"] == "28"
    assert "gate_captions" not in sent
    sent |= {"valid_from": "2099-01-01", "medium-allowance_lx_h": "120000", "gate_captions": "on"}
    target = "/house-rules/new/?figures=annual&size=small"
    said = head.post(target, sent, follow=True).content.decode()
    made = HouseRules.objects.latest("version")
    assert f"Version {made.version} of the house rules is approved." in said
    rule = made.classes.get(sensitivity_class__code="medium")
    assert rule.allowance_lx_h == 120_000
    assert "CIE 157:2004" in rule.source
    taken = dict(made.switches.values_list("gate", "taken"))
    assert (taken["captions"], taken["routes"]) == (True, False)
    assert made.gate_days.get(gate="G1").days == 28
    shown = head.get(f"/house-rules/?version={made.version}").content.decode()
    assert "Left out" in shown
    assert "G1 chosen: 28 days before install" in shown


def test_what_was_typed_stays_when_the_version_is_refused(head: Client) -> None:
    sent = fields_of(head.get("/house-rules/new/").content.decode())
    sent |= {"valid_from": "2001-01-01", "source": "Our own.", "days_G9": "11"}
    page = head.post("/house-rules/new/", sent).content.decode()
    assert fields_of(page)["days_G9"] == "11"
    assert not HouseRules.objects.exists()


def test_days_off_working_days_and_their_source_are_rules(head: Client) -> None:
    """A day that is no day keeps what was typed and names its line; good ones are kept in order."""
    start = head.post("/house-rules/start/", {"figures": "annual", "size": "full"}, follow=True)
    sent: dict[str, object] = dict(fields_of(start.content.decode()))
    sent |= {"valid_from": "2099-01-01", "days_T8": "12", "working": ["T8", "C5"]}
    target = "/house-rules/new/?figures=annual&size=full"
    bad = head.post(target, sent | {"days_off": "2099-12-25 Christmas Day\n2099-13-01 No"})
    assert "Line 2: “2099-13-01” is no day" in bad.content.decode()
    assert "2099-12-25 Christmas Day" in bad.content.decode()
    assert not HouseRules.objects.exists()
    good = "2099-12-25 Christmas Day\n2099-04-10 Good Friday"
    head.post(target, sent | {"days_off": good, "days_source": "The council’s calendar."})
    made = HouseRules.objects.latest("version")
    assert made.days_off == [["2099-04-10", "Good Friday"], ["2099-12-25", "Christmas Day"]]
    days = {row.gate: (row.days, row.working) for row in made.gate_days.all()}
    assert (days["T8"], days["C5"], days["G8"]) == ((12, True), (10, True), (21, False))
    shown = head.get(f"/house-rules/?version={made.version}").content.decode()
    assert "T8 support of the next face: 12 working days before a turn" in shown
    assert "The council’s calendar." in unescape(shown)
    assert "2099-04-10 Good Friday" in shown
    assert date(2099, 12, 25) in days_off_of(made)


def test_one_exhibition_does_otherwise_and_its_page_shows_it(head: Client) -> None:
    exhibition = make_exhibition()
    put_at(planned_showing(exhibition), Stage.SELECTION)
    here = f"/exhibitions/{exhibition.uid}/"
    assert "G9 caption" in head.get(here).content.decode()
    form = head.get(f"{here}gates/").content.decode()
    assert "as the house rules say: on" in form
    names = re.findall(r'<select[^>]*name="(\w+)"', form)
    sent = dict.fromkeys((name for name in names if name != "acting_role"), "rules")
    answer = head.post(
        f"{here}gates/", sent | {"captions": "off", "why": "The designer writes them."}, follow=True
    )
    assert "1 gate of" in answer.content.decode()
    assert "G9 caption" not in head.get(here).content.decode()
    assert GateSwitch.objects.get().taken is False


def test_only_the_head_opens_these_forms() -> None:
    make_museum()
    exhibition = make_exhibition()
    registrar = visitor(person=make_person(Role.REGISTRAR, Role.STEWARD))
    for address in ("/house-rules/start/", f"/exhibitions/{exhibition.uid}/gates/"):
        assert registrar.get(address).status_code == 403


def test_what_can_be_switched_on_says_why_and_what_can_not_be_switched_off(head: Client) -> None:
    page = head.get("/in-use/").content.decode()
    assert "The way through the house is walked" in page
    assert "De-install check" in page
