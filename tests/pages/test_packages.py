"""The pages of open packages: asked for, watched, stopped, fetched by those who may."""

import uuid
from pathlib import Path
from typing import Any

import pytest
from django.test import Client
from django.utils.timezone import now

from lifecycle.actions.package.keeping import room_of
from lifecycle.jobs import sweep
from lifecycle.process.stages import Role, Stage
from lifecycle.records.models import MuseumObject, Work, WorkState
from tests.builders.core import make_face, make_museum, make_object, make_person, make_showing
from tests.builders.package import close
from tests.pages.signing_in import questions, visitor

pytestmark = pytest.mark.django_db
ADDRESS = "/steward/packages/"


@pytest.fixture(autouse=True)
def folders(settings: Any, tmp_path: Path) -> None:
    settings.MEDIA_ROOT = tmp_path / "media"
    settings.PACKAGES_DIR = tmp_path / "packages"
    make_museum()


@pytest.fixture
def diary() -> MuseumObject:
    thing = make_object(object_number="HCM.1908.12", title="Weather diary")
    make_face(thing)
    return thing


@pytest.fixture
def steward() -> Client:
    return visitor(Role.STEWARD)


def ask(client: Client, **values: str) -> Work:
    answer = client.post(ADDRESS, {"what": "object", **values})
    assert answer.status_code == 302, answer.content.decode()
    return Work.objects.get()


def test_an_object_is_asked_for_by_number_made_and_fetched(
    steward: Client, diary: MuseumObject
) -> None:
    work = ask(steward, object_number="hcm.1908.12")
    page = steward.get(f"{ADDRESS}{work.uid}/").content.decode()
    assert "It waits for its turn." in page
    assert '<noscript><meta http-equiv="refresh"' in page
    sweep.do_work(str(work.uid))
    page = steward.get(f"{ADDRESS}{work.uid}/").content.decode()
    assert "Fetch the package" in page
    assert "http-equiv" not in page
    answer = steward.get(f"{ADDRESS}{work.uid}/file/")
    assert answer["Content-Type"] == "application/zip"
    assert "HCM.1908.12-open-package-" in answer["Content-Disposition"]
    assert b"".join(answer.streaming_content)[:2] == b"PK"  # type: ignore[attr-defined]


def test_progress_is_a_part_of_the_page_that_comes_alone_when_asked(
    steward: Client, diary: MuseumObject
) -> None:
    work = ask(steward, object_number="HCM.1908.12")
    Work.objects.update(
        state=WorkState.RUNNING, worker="one", lease_until=now(), done=3, total=9, doing="Tables"
    )
    part = steward.get(f"{ADDRESS}{work.uid}/", headers={"HX-Request": "true"}).content.decode()
    assert "<html" not in part
    assert '<progress max="9" value="3">' in part
    assert "Tables" in part
    answer = steward.post(f"{ADDRESS}{work.uid}/stop/", follow=True)
    assert "The package stops after its present part." in answer.content.decode()
    assert "asked to stop" in answer.content.decode()
    answer = steward.post(f"{ADDRESS}{work.uid}/stop/", follow=True)
    assert "has been asked to stop already" in answer.content.decode()


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({"what": "object"}, "Say which object."),
        ({"what": "object", "object_number": "HCM.0"}, "No object has the number or code “HCM.0”."),
        ({"what": "showing"}, "Say which showing."),
        ({"what": "showing", "request_no": "RQ-0"}, "No showing has the number “RQ-0”."),
        ({"what": "elsewhere"}, "Select a valid choice"),
        ({"what": ""}, "This field is required"),
    ],
)
def test_bad_input_stands_beside_its_field_and_is_not_lost(
    steward: Client, values: dict[str, str], said: str
) -> None:
    answer = steward.post(ADDRESS, values)
    assert answer.status_code == 200
    page = answer.content.decode()
    assert said in page
    assert all(value in page for key, value in values.items() if key != "what")
    assert not Work.objects.exists()


def test_an_open_showing_is_refused_beside_its_number(steward: Client) -> None:
    showing = make_showing(stage=Stage.READY)
    answer = steward.post(ADDRESS, {"what": "showing", "request_no": showing.request_no})
    assert f"{showing.request_no} is not over yet" in answer.content.decode()
    close(showing)
    answer = steward.post(ADDRESS, {"what": "showing", "request_no": showing.request_no})
    assert answer.status_code == 302


def test_the_links_stand_where_the_steward_needs_them(steward: Client, diary: MuseumObject) -> None:
    button = "Save as an open package"
    showing = make_showing(museum_object=diary)
    assert button in steward.get("/steward/").content.decode()
    assert button in steward.get(f"/objects/{diary.uid}/").content.decode()
    assert button not in steward.get(f"/showings/{showing.uid}/").content.decode()
    close(showing)
    assert button in steward.get(f"/showings/{showing.uid}/").content.decode()
    registrar = visitor(Role.REGISTRAR)
    assert button not in registrar.get(f"/objects/{diary.uid}/").content.decode()
    assert button not in registrar.get(f"/showings/{showing.uid}/").content.decode()


OTHERS = [role for role in Role if role not in {Role.STEWARD, Role.COURIER, Role.LENDER}]


@pytest.mark.parametrize("role", OTHERS)
def test_packages_are_the_stewards_alone(role: Role, steward: Client, diary: MuseumObject) -> None:
    work = ask(steward, object_number="HCM.1908.12")
    sweep.do_work(str(work.uid))
    other = visitor(role)
    for address in ("", f"{work.uid}/", f"{work.uid}/file/"):
        assert other.get(f"{ADDRESS}{address}").status_code == 403
    assert other.post(ADDRESS, {"what": "museum"}).status_code == 403
    assert other.post(f"{ADDRESS}{work.uid}/stop/").status_code == 403
    assert Client().get(f"{ADDRESS}{work.uid}/file/").status_code == 302
    assert Work.objects.count() == 1


def test_a_package_with_more_than_one_may_read_is_not_handed_out(
    steward: Client, diary: MuseumObject
) -> None:
    both = visitor(person=make_person(Role.STEWARD, Role.REGISTRAR))
    work = ask(both, object_number="HCM.1908.12")
    assert work.inputs["seen"] == ["lender", "restriction"]
    sweep.do_work(str(work.uid))
    assert steward.get(f"{ADDRESS}{work.uid}/file/").status_code == 403
    assert "ask for one of your own" in steward.get(f"{ADDRESS}{work.uid}/").content.decode()
    answer = both.get(f"{ADDRESS}{work.uid}/file/")
    assert b"".join(answer.streaming_content)[:2] == b"PK"  # type: ignore[attr-defined]


def test_what_is_not_there_is_not_found(steward: Client, diary: MuseumObject) -> None:
    assert steward.get(f"{ADDRESS}{uuid.uuid4()}/").status_code == 404
    assert steward.post(f"{ADDRESS}{uuid.uuid4()}/stop/").status_code == 404
    work = ask(steward, object_number="HCM.1908.12")
    assert steward.get(f"{ADDRESS}{work.uid}/file/").status_code == 404
    sweep.do_work(str(work.uid))
    for path in room_of(work).glob("*.zip"):
        path.unlink()
    assert steward.get(f"{ADDRESS}{work.uid}/file/").status_code == 404
    assert "no longer in the folder" in steward.get(f"{ADDRESS}{work.uid}/").content.decode()


def test_a_long_list_asks_no_more_than_a_short_one(steward: Client, diary: MuseumObject) -> None:
    ask(steward, object_number="HCM.1908.12")
    one = questions(steward, ADDRESS)
    first = Work.objects.get()
    for number in range(20):
        Work.objects.create(
            kind=first.kind, key=str(number), asked_at=now(), asked_by=first.asked_by,
            inputs=first.inputs, state=WorkState.DONE, ended_at=now(),
        )  # fmt: skip
    assert questions(steward, ADDRESS) == one
