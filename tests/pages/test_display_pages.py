"""Pages of display: forms that act, cautions before the work, no page for who may not."""

import re
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils.timezone import now

from lifecycle.actions.condition.ink import Rated, rate_ink
from lifecycle.process.ink import InkLevel, InkMethod
from lifecycle.process.stages import Role, Stage
from lifecycle.process.words import Hazard, HazardEvidence
from lifecycle.records.models import (
    DisplayPeriod,
    InstallCheck,
    JournalEntry,
    ObjectHazard,
    Picture,
    Showing,
)
from tests.builders.condition import fill_draft, sign_as_author, start_draft
from tests.builders.core import (
    AT,
    kept_by,
)
from tests.builders.display import (
    PASSWORD,
    Crew,
    a_photo,
    face_of,
    make_case,
    make_crew,
    make_meter,
    planned_showing,
    put_at,
    ready_showing,
    running,
)
from tests.builders.tickets import make_mount
from tests.pages.signing_in import visitor

pytestmark = pytest.mark.django_db

FOLDED = re.compile(r"<details.*?</details>", re.DOTALL)
"""What nobody reads without opening it: no hazard of the object may stand there alone."""


def visit(person: Any) -> Client:
    return visitor(person=person)


def wall_clock(moment: datetime) -> str:
    return moment.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S+00:00")


def image() -> SimpleUploadedFile:
    photo = a_photo()
    return SimpleUploadedFile(photo.name, photo.data, content_type="image/png")


def ready_now(crew: Crew, name: str = "N2", positions: int = 1) -> list[Showing]:
    _, made = make_case(name, positions)
    exhibition = running()
    at = now() - timedelta(hours=2)
    return [ready_showing(crew, place, at, exhibition=exhibition) for place in made]


def install_form(crew: Crew, showing: Showing, **values: Any) -> dict[str, Any]:
    assert showing.place is not None
    said: dict[str, Any] = {
        "place_code": showing.place.code.lower(),
        "face": face_of(showing).uid,
        "observed_at": wall_clock(now() - timedelta(minutes=5)),
        "matches_tag": "on",
        "arrival": "same",
        "face_right": "on",
        "way_up_right": "on",
        "photo": image(),
        "mount_fits": "on",
        "lux": "44",
        "uv": "3",
        "meter": make_meter().uid,
        "caption": "right",
        "facsimile": "not_needed",
        "second_person": crew.conservator.uid,
        "password": PASSWORD,
        "second_password": PASSWORD,
    }
    return {key: value for key, value in (said | values).items() if value is not None}


def test_an_object_is_installed_from_the_page_by_two() -> None:
    crew = make_crew()
    showing = ready_now(crew)[0]
    page = visit(crew.technician).post(
        reverse("install", args=[showing.uid]), install_form(crew, showing)
    )
    assert page.status_code == 302
    assert Showing.objects.get(pk=showing.pk).stage == Stage.ON_DISPLAY
    assert Picture.objects.filter(purpose="as_placed").count() == 1


@pytest.mark.parametrize("overtaken", [False, True])
def test_a_form_that_was_overtaken_tells_what_happened_and_installs_nothing(
    overtaken: bool,
) -> None:
    """The showing went back and is ready again: its stage alone would not tell."""
    crew = make_crew()
    showing = ready_now(crew)[0]
    address = reverse("install", args=[showing.uid])
    shown = visit(crew.technician).get(address).content.decode()
    seen = re.search(r'name="seen_entry" value="([0-9a-f-]{36})"', shown)
    assert seen is not None
    if overtaken:
        put_at(showing, Stage.MOUNTING, at=now())
        put_at(showing, Stage.READY, at=now())
    page = visit(crew.technician).post(
        address, install_form(crew, showing, seen_entry=seen.group(1))
    )
    installed = Showing.objects.get(pk=showing.pk).stage == Stage.ON_DISPLAY
    assert installed is not overtaken
    if overtaken:
        assert "Nothing was done twice" in page.content.decode()


def test_what_is_missing_stands_beside_its_field_and_what_was_typed_is_kept() -> None:
    crew = make_crew()
    showing = ready_now(crew)[0]
    page = visit(crew.technician).post(
        reverse("install", args=[showing.uid]),
        install_form(crew, showing, photo=None, mount_fits=None, case_rh="51.5"),
    )
    errors = page.context["form"].errors
    assert {"photo", "mount_fits"} <= set(errors)
    assert b"51.5" in page.content
    assert not DisplayPeriod.objects.exists()


def test_the_second_persons_wrong_password_stands_beside_the_second_password() -> None:
    crew = make_crew()
    showing = ready_now(crew)[0]
    page = visit(crew.technician).post(
        reverse("install", args=[showing.uid]),
        install_form(crew, showing, second_password="guess"),
    )
    assert set(page.context["form"].errors) == {"second_password"}
    assert not InstallCheck.objects.exists()


def test_a_picture_that_is_none_is_refused_beside_the_photograph() -> None:
    crew = make_crew()
    showing = ready_now(crew)[0]
    fake = SimpleUploadedFile("placed.png", b"<html>no picture</html>", content_type="image/png")
    page = visit(crew.technician).post(
        reverse("install", args=[showing.uid]), install_form(crew, showing, photo=fake)
    )
    assert "photo" in page.context["form"].errors


def test_the_install_page_is_dark_and_carries_the_cautions() -> None:
    crew = make_crew()
    showing = ready_now(crew)[0]
    ObjectHazard(
        museum_object=showing.museum_object,
        hazard=Hazard.ARSENIC,
        evidence=HazardEvidence.SUSPECTED,
    ).keep(**kept_by())
    page = visit(crew.conservator).get(reverse("install", args=[showing.uid]))
    body = page.content.decode()
    assert 'data-theme="gallery"' in body
    assert "Arsenic" in body


@pytest.mark.parametrize(
    ("name", "stage"),
    [
        ("install", Stage.READY),
        ("turn", Stage.ON_DISPLAY),
        ("show-again", Stage.ROTATION),
        ("swap", Stage.ON_DISPLAY),
        ("take-down", Stage.ON_DISPLAY),
        ("send-home", Stage.REHOUSING),
        ("pass-on", Stage.DEINSTALL_CHECK),
        ("assess", Stage.EXAMINATION),
    ],
)
def test_every_hazard_of_the_object_stands_on_each_form(name: str, stage: Stage) -> None:
    crew = make_crew()
    _, places = make_case("N6", 1)
    showing = planned_showing(running(), places[0])
    put_at(showing, stage)
    thing = showing.museum_object
    thing.handling_cautions = "Two hands under the board."
    thing.orientation_rule = "upright_only"
    thing.keep(**kept_by())
    for hazard in (Hazard.MERCURY_LIQUID, Hazard.LEAD, Hazard.MOULD):
        ObjectHazard(
            museum_object=showing.museum_object, hazard=hazard, evidence=HazardEvidence.TESTED
        ).keep(**kept_by())
    person = crew.registrar if name in ("send-home", "pass-on") else crew.conservator
    page = visit(person).get(reverse(name, args=[showing.uid]))
    said = page.content.decode().lower()
    assert page.status_code == 200
    in_sight = FOLDED.sub("", said)
    for word in ("liquid mercury: keep it upright", "lead: wear gloves", "mould: isolate"):
        assert word in in_sight
    assert "two hands under the board" in in_sight
    assert "orientation: upright only" in in_sight
    assert "safety data sheet" in said


@pytest.mark.parametrize(
    ("name", "stage"),
    [
        ("install", Stage.READY),
        ("turn", Stage.ON_DISPLAY),
        ("show-again", Stage.ROTATION),
        ("swap", Stage.ON_DISPLAY),
        ("take-down", Stage.ON_DISPLAY),
    ],
)
def test_what_the_hands_hold_stands_before_anything_there_is_to_fill(
    name: str, stage: Stage
) -> None:
    crew = make_crew()
    _, places = make_case("N6", 1)
    showing = planned_showing(running(), places[0])
    put_at(showing, stage)
    make_mount(showing.museum_object, showing=showing)
    said = visit(crew.conservator).get(reverse(name, args=[showing.uid])).content.decode()
    main = said[said.index("<main") :]
    in_hand = main[main.index('class="in-hand') : main.index('class="caution')]
    assert showing.museum_object.object_number in in_hand
    assert ("MT-0001, cradle" in in_hand) is (name == "install")  # nothing is planned to come
    assert main.index('class="caution') < main.index("<form")


def test_a_case_says_the_general_cautions_once_and_the_hazards_with_their_number() -> None:
    crew = make_crew()
    plates = ready_now(crew, "N2", 3)
    number = plates[1].museum_object.object_number
    ObjectHazard(
        museum_object=plates[1].museum_object,
        hazard=Hazard.ARSENIC,
        evidence=HazardEvidence.SUSPECTED,
    ).keep(**kept_by())
    assert plates[0].place is not None
    case = plates[0].place.parent
    assert case is not None
    page = visit(crew.conservator).get(reverse("install-case", args=[case.uid]))
    said = page.content.decode()
    assert f"{number}. Arsenic" in FOLDED.sub("", said)
    assert said.count("Two people above about 25 kg") == 1


def case_form(crew: Crew, showings: list[Showing], **values: Any) -> dict[str, Any]:
    said: dict[str, Any] = {
        "observed_at": wall_clock(now() - timedelta(minutes=5)),
        "all_as_planned": "on",
        "second_person": crew.conservator.uid,
        "password": PASSWORD,
        "second_password": PASSWORD,
    }
    meter = make_meter()
    for showing in showings:
        prefix = showing.museum_object.code
        said |= {
            f"{prefix}-photo": image(),
            f"{prefix}-lux": "44",
            f"{prefix}-uv": "3",
            f"{prefix}-meter": meter.uid,
        }
    return said | values


def test_a_case_closes_what_is_as_planned_and_names_what_stays_open() -> None:
    crew = make_crew()
    plates = ready_now(crew, "N2", 3)
    case = plates[0].place.parent if plates[0].place else None
    assert case is not None
    wrong = plates[2].museum_object.code
    page = visit(crew.technician).post(
        reverse("install-case", args=[case.uid]),
        case_form(crew, plates, **{f"{wrong}-upside_down": "on"}),
        follow=True,
    )
    stages = [Showing.objects.get(pk=plate.pk).stage for plate in plates]
    assert stages == [Stage.ON_DISPLAY, Stage.ON_DISPLAY, Stage.READY]
    said = page.content.decode()
    assert f"{plates[2].museum_object.object_number} stays open" in said


def test_a_case_is_found_by_its_printed_code_however_it_is_typed() -> None:
    crew = make_crew()
    plates = ready_now(crew)
    case = plates[0].place.parent if plates[0].place else None
    assert case is not None
    client = visit(crew.conservator)
    page = client.post(reverse("install-by-code"), {"place_code": f" {case.code.lower()} "})
    assert page.headers["Location"] == reverse("install-case", args=[case.uid])
    wrong = client.post(reverse("install-by-code"), {"place_code": "222222A"})
    assert "place_code" in wrong.context["form"].errors


def test_the_case_page_asks_the_same_number_of_queries_for_one_and_for_three(
    django_assert_max_num_queries: Any,
) -> None:
    counts = []
    crew = make_crew()
    for name, number in (("N1", 1), ("N3", 3)):
        plates = ready_now(crew, name, number)
        case = plates[0].place.parent if plates[0].place else None
        assert case is not None
        with django_assert_max_num_queries(200) as found:
            visit(crew.conservator).get(reverse("install-case", args=[case.uid]))
        counts.append(len(found))
    assert counts[0] == counts[1], counts


def test_the_assessment_shows_how_the_ink_is_rated_and_only_poor_ink_asks_for_a_word(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    crew = make_crew()
    _, places = make_case("N6", 1)
    showing = put_at(planned_showing(running(), places[0]), Stage.EXAMINATION)
    address = reverse("assess", args=[showing.uid])
    assert "Iron-gall ink" not in visit(crew.conservator).get(address).content.decode()
    report = start_draft(showing.museum_object, by=crew.conservator)
    rate_ink(
        report=report,
        rated=Rated(
            face=report.report_faces.all()[0].face,
            area="heading",
            level=InkLevel.POOR,
            method=InkMethod.RAKING,
        ),
        by=crew.conservator,
        role=Role.CONSERVATOR,
        at=AT,
    )
    fill_draft(report, by=crew.conservator, nothing_to_note=True)
    sign_as_author(report, by=crew.conservator)
    page = visit(crew.conservator).get(address).content.decode()
    assert "rated 3 poor (heading," in page
    ink = reverse("object-ink", args=[showing.museum_object.uid])
    assert ink in page
    offered = reverse("ink-sign-off", args=[report.report_faces.get().face.uid])
    assert offered in visit(crew.conservator).get(ink).content.decode()
    monkeypatch.setattr("lifecycle.pages.condition.ink.sign_off_from", lambda today: 4)
    assert offered not in visit(crew.conservator).get(ink).content.decode()


DOORS = [
    ("request-answer", {Role.CONSERVATOR}),
    ("request-override", {Role.HEAD_OF_COLLECTIONS}),
    ("decline", {Role.CONSERVATOR, Role.HEAD_OF_COLLECTIONS}),
    ("assess", {Role.CONSERVATOR}),
    ("withdraw", {Role.HEAD_OF_COLLECTIONS}),
    ("install", {Role.CONSERVATOR, Role.REGISTRAR}),
    ("turn", {Role.CONSERVATOR, Role.REGISTRAR}),
    ("show-again", {Role.CONSERVATOR, Role.REGISTRAR}),
    ("swap", {Role.CONSERVATOR, Role.REGISTRAR}),
    ("take-down", {Role.CONSERVATOR, Role.REGISTRAR, Role.TECHNICIAN}),
    ("send-home", {Role.REGISTRAR, Role.HEAD_OF_COLLECTIONS}),
    ("pass-on", {Role.REGISTRAR, Role.HEAD_OF_COLLECTIONS}),
    ("appointment-new", {Role.CONSERVATOR, Role.REGISTRAR, Role.HEAD_OF_COLLECTIONS}),
    ("lender-leave", {Role.REGISTRAR, Role.HEAD_OF_COLLECTIONS}),
]
INSIDE = [role for role in Role if role not in (Role.COURIER, Role.LENDER)]


@pytest.mark.parametrize(("name", "let_in"), DOORS, ids=[name for name, _ in DOORS])
def test_each_page_lets_in_exactly_the_roles_of_the_rights_table(
    name: str, let_in: set[Role]
) -> None:
    """Roles without a job, exhibition or gallery of their own here; the table's plain 'yes'."""
    make_crew()
    _, places = make_case("N5", 1)
    showing = put_at(planned_showing(running(), places[0]), Stage.ON_DISPLAY)
    met = {
        role
        for role in INSIDE
        if visitor(role).get(reverse(name, args=[showing.uid])).status_code != 403
    }
    assert met == let_in


def test_a_forged_address_is_a_404_and_no_entry_is_written() -> None:
    crew = make_crew()
    client = visit(crew.conservator)
    page = client.get(reverse("install", args=["00000000-0000-4000-8000-000000000000"]))
    assert page.status_code == 404
    assert not JournalEntry.objects.exists()
