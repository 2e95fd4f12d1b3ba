"""The second half of one showing: everything made for it, the gallery, and the way home."""

import re
from datetime import date, datetime, timedelta

from tests.browser.deeds import (
    ADA,
    BRAM,
    JOSEPHINE,
    LAB,
    MARIT,
    POSITION,
    RUFUS,
    SHELF,
    SUNNIVA,
    WEN,
    Trip,
    answer_same,
    carry,
    look_through,
    move,
    start_report,
)
from tests.browser.walking import Value, links, local

METER: dict[str, Value] = {"uv": "8", "point": "C", "meter": "LM-4471"}


def assess(trip: Trip) -> None:
    said: dict[str, Value] = {
        "kind": "at_bench",
        "fit": "yes",
        "sensitivity_class": "Medium",
        "rotation_plan": "turn_to_next_face",
    }
    trip.by(MARIT, f"{trip.showing}assess/", said, "Keep the assessment")
    page = trip.walk.go(MARIT, trip.showing)
    sign = next(link for link in links(page) if "/assessments/" in link)
    trip.signed(MARIT, sign, ".")
    trip.signed(WEN, sign, "Accept with my name")


def make_everything(trip: Trip) -> None:
    for face in ("recto", "verso"):
        _facsimile(trip, face)
    _mount(trip)
    words: dict[str, Value] = {
        "text": "Broadsheet of the great storm, 1703.",
        "facsimile_wording": "Beside it a facsimile of the other side.",
    }
    page = trip.by(WEN, f"{trip.showing}captions/write/", words, "Keep the caption")
    trip.walk.press(page, "^Approve")
    _case(trip)
    trip.by(
        MARIT,
        f"{trip.showing}light-proof/",
        {
            "lux": "44",
            "uv": "8",
            "instrument": "LM-4471",
            "with_dummy": True,
            "lamp_state": "Show state",
            "point": "C",
        },
        "^Keep",
    )
    trip.by(
        JOSEPHINE,
        f"{trip.showing}route/",
        {
            "to_place": POSITION,
            "people": "2",
            "equipment": "Tray",
            "doors_lifts": "Lift 2",
            "hazards_read": True,
        },
        "^Keep",
    )


def _facsimile(trip: Trip, face: str) -> None:
    """Master, proof, approval, delivery: the whole chain of one facsimile."""
    asked: dict[str, Value] = {
        "face": face,
        "purpose": "facsimile_master",
        "due_on": date.today().isoformat(),  # noqa: DTZ011
        "needed_because": "A facsimile stands beside it.",
        "with_whom": ADA,
        "target_number": False,
        "target_colour": False,
        "target_grey": False,
    }
    job = trip.by(WEN, f"{trip.showing}imaging/ask/", asked, "Ask for the pictures").url
    lit: dict[str, Value] = {
        "picture": trip.picture,
        "lit_minutes": "5",
        "lit_lux": "1000",
        "in_frame": "scale",
    }
    trip.by(ADA, f"{job}deliver/", lit, "^Deliver")
    trip.walk.press(trip.walk.go(WEN, job), "^Accept")
    wanted: dict[str, Value] = {
        "face": face,
        "use": "shows_other_face",
        "public_label": "Facsimile of the other side.",
        "with_whom": ADA,
    }
    copy = trip.by(WEN, f"{trip.showing}facsimile/ask/", wanted, "Ask for the facsimile").url
    page = trip.walk.go(ADA, f"{copy}master/")
    page.locator("[name='picture']").select_option(index=1)
    trip.walk.press(page, "Name the master image")
    trip.by(WEN, f"{copy}proof/", {"light": "case lamps"}, "See a proof")
    trip.by(WEN, f"{copy}approve/", {}, "Approve the proof")
    trip.by(ADA, f"{copy}deliver/", {"mark_seen": True}, "Deliver it")


def _mount(trip: Trip) -> None:
    """One mount for both faces, its fit checked on each with the object present, by two."""
    page = trip.walk.go(MARIT, f"{trip.showing}mount/ask/")
    trip.walk.fill(page, {"kind": "double-sided mat", "with_whom": RUFUS})
    for box in page.locator("main [name='faces']").all():
        box.check()
    mount = trip.walk.press(page, "Open the ticket").url
    ticket: dict[str, Value] = {
        "measured_at": local(datetime.now() - timedelta(minutes=2)),  # noqa: DTZ005
        "measured_by": RUFUS,
        "contact_points": "Edges",
        "fixing_instruction": "Slide in from the left.",
        "removable_alone": "yes",
    }
    trip.by(RUFUS, f"{mount}ticket/", ticket, "Keep the ticket")
    trip.by(RUFUS, f"{mount}material/", {"material": "Cotton board"}, "Put it on")
    for face in ("recto", "verso"):
        tried: dict[str, Value] = {
            "face": face,
            "object_present": True,
            "result": "fits",
            "mount_maker": RUFUS,
            "conservator": MARIT,
            "photo": trip.picture,
        }
        check = trip.by(RUFUS, f"{mount}fit/", tried, "^Write it down").url
        trip.signed(RUFUS, check, "^Sign")
        trip.signed(MARIT, check, "^Sign")


def _case(trip: Trip) -> None:
    today, moment = date.today(), datetime.now()  # noqa: DTZ005, DTZ011
    made: dict[str, Value] = {
        "construction_done_on": (today - timedelta(days=30)).isoformat(),
        "cleaned_on": (today - timedelta(days=3)).isoformat(),
        "cleaned_by": BRAM,
        "test_logger": "TH-0812",
        "test_from": local(moment - timedelta(days=2)),
        "test_to": local(moment - timedelta(hours=2)),
        "test_result": "48 to 51 % RH",
    }
    trip.by(SUNNIVA, f"{trip.showing}case/", made, "^Keep")
    trip.walk.press(trip.walk.go(SUNNIVA, f"{trip.showing}case/"), "[Rr]eady")


def put_up(trip: Trip) -> None:
    """Two people install the recto: face, way up, photograph and lux."""
    carry(trip, LAB, POSITION, "install", MARIT)
    trip.signed(
        MARIT,
        f"{trip.showing}install/",
        "^Close the check",
        face="recto",
        matches_tag=True,
        arrival="same",
        face_right=True,
        way_up_right=True,
        photo=trip.picture,
        mount_fits=True,
        lux="44",
        caption="right",
        facsimile="right",
        second_person=BRAM,
        second_password=trip.walk.password,
        **METER,
    )


def turn(trip: Trip) -> None:
    """The registrar plans it, two people make it, each face is looked at first."""
    planned: dict[str, Value] = {
        "kind": "turn",
        "day": date.today().isoformat(),  # noqa: DTZ011
        "place": POSITION,
        "from_face": "recto",
        "to_face": "HCM.1931.4 verso",
        "person_1": MARIT,
        "person_2": BRAM,
    }
    trip.by(JOSEPHINE, f"{trip.showing}plan/", planned, "Plan it")
    _short_look(trip, "off_going_face", "recto")
    trip.signed(
        MARIT,
        f"{trip.showing}turn/",
        "^Take it out",
        second_person=BRAM,
        second_password=trip.walk.password,
    )
    _short_look(trip, "on_coming_face", "verso")
    trip.signed(
        MARIT,
        f"{trip.showing}show-again/",
        "^Show it",
        to_face="verso",
        support="same",
        support_fits=True,
        way_up_right=True,
        facsimile="done",
        caption="done",
        photo_after=trip.picture,
        lux="45",
        second_person=BRAM,
        second_password=trip.walk.password,
        **METER,
    )


def _short_look(trip: Trip, kind: str, face: str) -> None:
    report = start_report(
        trip,
        MARIT,
        kind,
        "turn of the face",
        where=POSITION,
        seen_as="In mount",
        faces=(face,),
    )
    answer_same(trip, MARIT, report)
    trip.by(MARIT, f"{report}conclusions/", {"result": "no_change_seen"}, "Save")
    trip.signed(MARIT, f"{report}sign/", "Sign the report")


def take_down(trip: Trip) -> None:
    """Part A as found by the technician, countersigned; then down, and back to the bench."""
    report = start_report(
        trip,
        BRAM,
        "deinstall_at_case",
        "taken down",
        where=POSITION,
        seen_as="In case, through glass",
        faces=("verso",),
    )
    found: dict[str, Value] = {"as_placed": "as placed", "picture": trip.picture}
    trip.by(BRAM, f"{report}as-found/", found, "Save part A")
    answer_same(trip, BRAM, report)
    trip.by(BRAM, f"{report}conclusions/", {"result": "no_change_seen"}, "Save")
    trip.signed(BRAM, f"{report}sign/", "Sign the report")
    trip.signed(MARIT, f"{report}countersign/", "Sign as second name", capacity="countersigned")
    down: dict[str, Value] = {
        "lux": "45",
        "found": "as placed",
        "mount": "travels",
        "facsimile": "out",
        "handed_to": MARIT,
        "second_person": BRAM,
        "early_reason": "Agreed with the curator.",
        "curator_told_at": local(datetime.now()),  # noqa: DTZ005
        **METER,
    }
    trip.by(MARIT, f"{trip.showing}take-down/", down, "^It is taken down")
    carry(trip, POSITION, LAB, "de-install", MARIT)


def check_at_bench(trip: Trip) -> None:
    """Part B against the baseline, finding by finding."""
    report = start_report(
        trip,
        MARIT,
        "deinstall_at_bench",
        "taken down",
        where=LAB,
        seen_as="Unhoused",
        faces=("recto", "verso"),
    )
    answer_same(trip, MARIT, report)
    bench: dict[str, Value] = {"same_lights": True, "next_step": "housing"}
    trip.by(MARIT, f"{report}bench/", bench, "Save part B")
    look_through(trip, MARIT, report, result="no_change_seen")
    move(trip, MARIT, "pass_check", "^Pass")


def go_home(trip: Trip) -> None:
    """Housed, labelled, carried to its shelf, scanned there; then the file is closed."""
    folder: dict[str, Value] = {"kind": "folder", "board": "alkaline", "lift_aid": "Carrier"}
    housing = trip.by(MARIT, f"{trip.showing}housing/specify/", folder, "^Specify").url
    made: dict[str, Value] = {
        "made_on": date.today().isoformat(),  # noqa: DTZ011
        "made_by": RUFUS,
    }
    trip.by(MARIT, f"{housing}made/", made, "Keep it")
    trip.by(MARIT, f"{housing}try/", {"fits": "yes"}, "^Keep")
    trip.by(MARIT, f"{housing}label/", {"says": "In pencil: one object, this way up."}, "^Keep")
    slip = carry(trip, LAB, SHELF, "return to store", JOSEPHINE)
    codes: dict[str, Value] = {
        "how": "scan",
        "place_code": _code_of_place(trip),
        "object_codes": _code_on(trip, trip.thing),
    }
    card = _card_number(trip)
    page = trip.walk.go(JOSEPHINE, f"{slip}confirm/")
    trip.walk.fill(page, codes)
    page.locator("[name^='card_']").first.fill(card)
    trip.walk.press(page, "^Confirm")
    trip.by(JOSEPHINE, f"{trip.showing}send-home/", {}, "Close the file")


def _code_on(trip: Trip, address: str) -> str:
    """The short code that a page of a record prints."""
    page = trip.walk.go(JOSEPHINE, address)
    words = page.locator(".page").inner_text()
    found = re.search(r"[Ss]hort code\s+([2-9A-Z]{7})\b", words)
    assert found, words[:2000]
    return found[1]


def _code_of_place(trip: Trip) -> str:
    page = trip.walk.go(JOSEPHINE, "/places/")
    page.get_by_role("link", name=re.compile(rf"^{SHELF}\b")).first.click()
    return _code_on(trip, page.url)


def _card_number(trip: Trip) -> str:
    """The number of the removal card that was left on the shelf."""
    page = trip.walk.go(JOSEPHINE, trip.showing)
    found = re.search(r"MV-\d+-\d+(?= in " + SHELF + r")", page.locator("main").inner_text())
    assert found
    return found[0]
