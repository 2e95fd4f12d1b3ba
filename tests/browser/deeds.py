"""The deeds of one showing, each done by its person at the screen, in the order of the trade."""

import re
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from pathlib import Path

from playwright.sync_api import Page

from tests.browser.walking import Value, Walk, links, local

MARIT, WEN, JOSEPHINE = "Marit Oldacre", "Wen Castellane", "Josephine Abara"
BRAM, RUFUS, ADA, SUNNIVA = "Bram Oduya", "Rufus Tiller", "Ada Kestrel", "Sunniva Platt"
LAB, POSITION, SHELF = "Paper Laboratory", "N3c", "A2"
NUMBER = "HCM.1931.4"


@dataclass(kw_only=True)
class Trip:
    """What the people at their screens know of this showing: its addresses and their picture."""

    walk: Walk
    picture: Path
    thing: str = ""
    showing: str = ""

    def by(self, name: str, address: str, values: dict[str, Value], button: str) -> Page:
        return self.walk.send(name, address, values, button)

    def signed(self, name: str, address: str, button: str, **values: Value) -> Page:
        return self.by(name, address, {**values, "password": self.walk.password}, button)


def enter_object(trip: Trip) -> None:
    page = trip.by(
        JOSEPHINE,
        "/objects/new/",
        {
            "object_number": NUMBER,
            "title": "Broadsheet of the great storm",
            "object_type": "print",
            "maker": "Printed by Amos Feld",
            "date_text": "1703",
            "materials": "rag paper",
            "sensitivity_class": "Medium",
            "class_basis": "By material list.",
            "orientation_rule": "flat_face_up",
            "normal_location": SHELF,
        },
        "Put it on record",
    )
    trip.thing = page.url
    for kind, landmark in (("recto", "THE STORM at top left"), ("verso", "A list of ships")):
        face: dict[str, Value] = {"kind": kind, "label": kind, "landmark": landmark}
        trip.by(JOSEPHINE, f"{trip.thing}faces/new/", face, "Add the face")
    trip.by(
        MARIT,
        f"{trip.thing}hazards/new/",
        {"hazard": "none known", "evidence": "none found"},
        "Note the hazard",
    )


def ask(trip: Trip) -> None:
    """The curator asks for both faces: the recto today, the verso from tomorrow on."""
    page = trip.walk.go(WEN, "/exhibitions/")
    page.get_by_role("link", name=re.compile("Rain by Noon")).first.click()
    page.wait_for_url(re.compile(r"/exhibitions/[0-9a-f-]+/"))
    page.goto(next(link for link in links(page) if link.endswith("/ask/")))
    trip.walk.fill(page, {"museum_object": NUMBER})
    trip.walk.press(page, "Go on")
    today = date.today()  # noqa: DTZ011 - the person at the screen reads the clock on the wall
    closes = page.locator("[name='show_to']").input_value()
    trip.walk.fill(
        page,
        {
            "reason": "The storm in print; the list of ships stands on the back.",
            "show_from": today.isoformat(),
            "show_to": closes,
            "face_1": "recto",
            "face_1_to": today.isoformat(),
            "face_2": "verso",
            "face_2_from": (today + timedelta(days=1)).isoformat(),
            "alternative_1": "A facsimile of both sides",
            "place": POSITION,
            "late_note": "Another print was withdrawn.",
        },
    )
    trip.walk.press(page, "Ask for it")
    trip.showing = page.url.split("#")[0]


def answer_and_take_in(trip: Trip) -> None:
    trip.by(
        MARIT,
        f"{trip.showing}answer/",
        {"answer": "after_treatment", "because": "The account allows it; the edge is torn."},
        "Give this answer",
    )
    move(trip, MARIT, "take_in", "^Take in")
    carry(trip, SHELF, LAB, "examine", MARIT)


def move(trip: Trip, name: str, what: str, button: str, **values: Value) -> Page:
    return trip.by(name, f"{trip.showing}move/{what}/", values, button)


def carry(trip: Trip, start: str, goal: str, why: str, receiver: str) -> str:
    """Planned and authorised by the registrar, handed over and received by two other hands."""
    uid = trip.showing.rstrip("/").split("/")[-1]
    page = trip.by(
        JOSEPHINE,
        f"/movements/new/?showing={uid}",
        {
            "from_place": start,
            "to_place": goal,
            "reason": why,
            "people_needed": "1",
            "method": "tray",
            "carried_by": BRAM,
        },
        "Plan it",
    )
    slip = page.url
    trip.by(JOSEPHINE, f"{slip}authorise/", {}, "Authorise")
    trip.signed(BRAM, f"{slip}hand-over/", "Hand over")
    trip.signed(receiver, f"{slip}receive/", "Receive")
    return slip


def start_report(
    trip: Trip, name: str, kind: str, why: str, *, where: str, seen_as: str, faces: tuple[str, ...]
) -> str:
    """Start a report on the faces and lay a picture under each; return its address."""
    page = trip.walk.go(name, f"{trip.showing}condition/?kind={kind}")
    trip.walk.fill(
        page,
        {
            "kind": kind,
            "reason": why,
            "where": where,
            "light_there": "bench lamp",
            "seen_as": seen_as,
            "examiners": name,
        },
    )
    for box in page.locator("main [name='faces']").all():
        label = str(box.evaluate("box => box.labels[0].innerText")).split(":")[0]
        box.set_checked(label in faces)
    trip.walk.press(page, "Start the report")
    report = page.url.split("#")[0]
    trip.walk.go(name, report)
    for face in [link for link in links(page) if re.search(r"/report-faces/[^/]+/$", link)]:
        trip.by(name, face, {"picture": trip.picture, "light": "diffuse"}, "Save")
    return report


def answer_same(trip: Trip, name: str, report: str) -> None:
    """Every known feature is as it was."""
    page = trip.walk.go(name, report)
    form = "main form[action$='/answers/']"
    inside = page.locator(f"details:has({form.removeprefix('main ')}):not([open]) > summary")
    if inside.count():
        inside.first.click()
    for choice in page.locator(f"{form} select[name^='state-']").all():
        choice.select_option("same")
    trip.walk.press(page, ".", within=form)


def look_through(
    trip: Trip, name: str, report: str, *, result: str = "", need: str = "none"
) -> None:
    """Lights, what was not seen, words and conclusions of a whole look; then the signature."""
    trip.by(name, f"{report}not-seen/", {"what": "under the mount", "note": "-"}, "Note it")
    for light in (
        {"light": "diffuse", "minutes": "20", "lux": "600"},
        {"light": "raking", "direction_clock": "9", "minutes": "5"},
    ):
        trip.by(name, f"{report}lights/", dict(light), "Note this light")
    words: dict[str, Value] = {"observed": "Rag paper, sound.", "interpretation": "From use."}
    trip.by(name, f"{report}sections/support/", words, "Save")
    conclusions: dict[str, Value] = {
        "grade": "fair",
        "stability": "stable",
        "fit_display": "yes",
        "fit_travel": "yes",
        "fit_handling": "yes",
        "treatment_needed": need,
    }
    if result:
        conclusions["result"] = result
    trip.by(name, f"{report}conclusions/", conclusions, "Save")
    trip.signed(name, f"{report}sign/", "Sign the report")


def baseline(trip: Trip) -> None:
    report = start_report(
        trip,
        MARIT,
        "baseline",
        "requested for an exhibition",
        where=LAB,
        seen_as="Unhoused",
        faces=("recto", "verso"),
    )
    for face in ("recto", "verso"):
        trip.by(
            MARIT,
            f"{report}findings/",
            {
                "face": face,
                "term": "tear",
                "zone": "C3",
                "severity": "1",
                "layer": "support",
                "activity": "stable",
                "length_mm": "12",
            },
            "Record the finding",
        )
    trip.by(
        MARIT,
        f"{report}circumstances/",
        {"none_known": "Bought last month; no earlier report.", "components_complete": "True"},
        "Save",
    )
    look_through(trip, MARIT, report, need="before_display")


def treat(trip: Trip) -> None:
    """Proposal, the curator's consent to that version within limits, one step, the report."""
    today = date.today()  # noqa: DTZ011
    page = trip.by(MARIT, f"{trip.showing}propose/", {}, "Open the proposal")
    proposal = page.url.removesuffix("write/")
    trip.by(
        MARIT,
        f"{proposal}write/",
        {
            "based_on": "CR-",
            "aim": "stabilise",
            "aim_text": "Keep the tear from running.",
            "why": "Short and simple.",
            "stop_rules": "The ink moves.",
            "effect_on_display": "None.",
            "tests_first": "Water drop at the margin.",
            "hours_est": "2",
            "start_not_before": today.isoformat(),
            "finish_by": (today + timedelta(days=20)).isoformat(),
            "options-0-risk": "It may run on.",
            "options-1-what": "Mend with tissue.",
            "options-1-gain": "It holds.",
            "options-1-undo": "can_be_undone",
            "options-1-hours": "2",
            "options-1-chosen": True,
            "steps-0-step": "mend",
            "materials-0-material": "Mulberry tissue",
        },
        "Save the draft",
    )
    page = trip.walk.go(MARIT, proposal)
    send = next(link for link in links(page) if link.endswith("/send/"))
    trip.signed(MARIT, send, "Sign and send")
    consent = send.replace("/send/", "/consent/")
    limits: dict[str, Value] = {"decision": "agree_within_limits", "limits": "No moisture."}
    trip.signed(WEN, consent, "Sign the decision", **limits)
    move(trip, MARIT, "begin_treatment", "^Begin", limits_read=True)
    step: dict[str, Value] = {
        "step": "mend",
        "material": "Mulberry tissue",
        "minutes": "20",
        "face": "recto",
        "area": "C3",
        "result": "Tear closed with one strip of tissue.",
        "hours": "0.5",
    }
    trip.by(MARIT, f"{proposal}bench/", step, "Log the step")
    check = start_report(
        trip,
        MARIT,
        "after_treatment",
        "after treatment",
        where=LAB,
        seen_as="Unhoused",
        faces=("recto", "verso"),
    )
    answer_same(trip, MARIT, check)
    look_through(trip, MARIT, check, result="no_change_seen")
    page = trip.by(MARIT, f"{proposal}report/", {}, "Begin the report")
    pair = next(link.split("?")[0] for link in links(page) if "/pictures/" in link)
    moment = datetime.now()  # noqa: DTZ005 - local time, as a date-and-time field wants it
    for face in ("recto", "verso"):
        trip.by(
            MARIT,
            pair,
            {
                "face": face,
                "before_file": trip.picture,
                "before_taken_at": local(moment - timedelta(hours=2)),
                "after_file": trip.picture,
                "after_taken_at": local(moment),
                "light": "diffuse",
            },
            "Put side by side",
        )
    trip.by(
        MARIT,
        f"{proposal}report/",
        {
            "summary": "One tear closed.",
            "not_done": "The tear of the verso is stable.",
            "remaining_risks": "None new.",
            "new_limits": "None.",
            "housing_advice": "The folder it came in, with a new cover sheet.",
            "take_off": "Paste and tissue come off with a damp swab.",
            "after_check": "CR-",
        },
        "Save the report",
    )
    page = trip.walk.go(MARIT, f"{proposal}report/")
    trip.signed(MARIT, next(link for link in links(page) if link.endswith("/sign/")), "^Sign")
    move(trip, MARIT, "finish_treatment", "^Finish")
