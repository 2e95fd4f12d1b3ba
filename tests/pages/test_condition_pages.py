"""The pages of condition in a browser without scripts: written, contested, signed, read."""

from datetime import timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from lifecycle.actions.condition.findings import Sight, answer_feature
from lifecycle.actions.condition.looking import put_face_picture
from lifecycle.actions.condition.sign import countersign_report
from lifecycle.process.stages import Role
from lifecycle.process.words import (
    FeatureState,
    Hazard,
    HazardEvidence,
    PlaceKind,
    ReportKind,
    SignCapacity,
)
from lifecycle.queries.condition.compare import compare
from lifecycle.records.models import (
    MuseumObject,
    ObjectHazard,
    Person,
    Showing,
    Vocabulary,
)
from lifecycle.records.models.condition import ConditionReport, ReportFace, ReportSection
from tests.builders.condition import (
    PASSWORD,
    fill_draft,
    make_finding,
    make_picture,
    make_signed,
    picture_bytes,
    start_draft,
    term,
)
from tests.builders.core import (
    AT,
    kept_by,
    make_face,
    make_museum,
    make_object,
    make_person,
    make_place,
    make_showing,
    make_word,
)
from tests.builders.many_reports import many_reports
from tests.builders.treatment import hand_of

pytestmark = pytest.mark.django_db
A_DAY = timedelta(days=1)


def at_the_door(person: Person) -> Client:
    client = Client()
    assert person.account is not None
    client.force_login(person.account)
    return client


@pytest.fixture
def marit() -> Person:
    make_museum()
    return make_person(Role.CONSERVATOR, name="Marit Oldacre")


@pytest.fixture
def diary() -> MuseumObject:
    diary = make_object(object_number="HCM.1908.12", title="Weather diary <b>of</b> Hester Plym")
    make_face(diary, label="ff. 31v-32r")
    return diary


@pytest.fixture
def showing(diary: MuseumObject) -> Showing:
    return make_showing(museum_object=diary)


def start_data(person: Person, **more: Any) -> dict[str, Any]:
    return {
        "kind": "baseline",
        "certainty": "exact",
        "examined_at": "2026-05-20T10:00",
        "examiners": [str(person.uid)],
        "where": str(make_place(kind=PlaceKind.BENCH).uid),
        "seen_as": "unhoused",
        "reason": str(make_word(Vocabulary.REPORT_REASON, "requested-for-exhibition").uid),
        **more,
    }


def test_a_baseline_is_started_written_and_signed_without_scripts(
    marit: Person, diary: MuseumObject, showing: Showing
) -> None:
    client = at_the_door(marit)
    face = diary.faces.get()
    start = reverse("condition-start", args=[showing.uid])
    assert client.get(start).status_code == 200
    client.post(start, start_data(marit, faces=[str(face.uid)]))
    report = ConditionReport.objects.get()
    assert (report.showing, report.kind, report.report_no) == (showing, "baseline", "CR-0001")

    def send(name: str, data: dict[str, Any], *more: Any) -> None:
        answer = client.post(reverse(name, args=[report.uid, *more]), data)
        assert answer.status_code == 302, answer.content.decode()

    row = ReportFace.objects.get()
    sent = SimpleUploadedFile("face.jpg", picture_bytes(), "image/jpeg")
    client.post(reverse("condition-face", args=[row.uid]), {"picture": sent, "light": "diffuse"})
    send("condition-light-new", {"light": "raking", "direction_clock": "9"})
    send("condition-not-seen-new", {"what": make_word(Vocabulary.NOT_SEEN, "verso").uid})
    send("condition-section", {"observed": "Laid paper.", "version": "0"}, "support")
    finding = {"face": row.uid, "term": term().uid, "zone": "C2", "severity": "1", "version": "0"}
    send("condition-finding-new", {**finding, "length_mm": "14"})
    head = start_data(marit, none_known="Nothing on file.", version="1")
    send("condition-circumstances", head)
    grades = {"grade": "fair", "stability": "stable", "version": "1"}
    fits = dict.fromkeys(("fit_display", "fit_travel", "fit_handling"), "yes")
    send("condition-conclusions", {**grades, **fits})
    page = client.get(reverse("condition-report", args=[report.uid])).content.decode()
    assert "It can be signed." in page
    assert "F1 split at fold" in page
    assert "&lt;b&gt;of&lt;/b&gt;" in page
    send("condition-sign", {"password": PASSWORD})
    report.refresh_from_db()
    assert report.signed
    page = client.get(reverse("condition-report", args=[report.uid])).content.decode()
    assert "Marit Oldacre" in page
    assert report.digest[:5] in page
    text = client.get(reverse("condition-text", args=[report.uid]))
    assert text.content.decode() == report.signed_text


def test_the_second_writer_of_a_section_sees_both_texts_and_loses_nothing(
    marit: Person, diary: MuseumObject
) -> None:
    report = start_draft(diary, by=marit)
    address = reverse("condition-section", args=[report.uid, "support"])
    piers = make_person(Role.CONSERVATOR, name="Piers Hallam")
    at_the_door(piers).post(address, {"observed": "Of Piers.", "version": "0"})
    mine = {"observed": "Of Marit.", "interpretation": "Why.", "version": "0"}
    contested = at_the_door(marit).post(address, mine)
    page = contested.content.decode()
    assert contested.status_code == 409
    assert "Of Piers." in page
    assert "Of Marit." in page
    assert "Piers Hallam" in page
    assert ReportSection.objects.get().observed == "Of Piers."
    again = {**mine, "observed": "Of Piers. Of Marit.", "version": "1"}
    assert at_the_door(marit).post(address, again).status_code == 302
    section = ReportSection.objects.get()
    assert (section.observed, section.revision) == ("Of Piers. Of Marit.", 2)


def test_signing_too_early_says_everything_and_keeps_the_draft(
    marit: Person, diary: MuseumObject
) -> None:
    report = start_draft(diary, by=marit)
    answer = at_the_door(marit).post(
        reverse("condition-sign", args=[report.uid]), {"password": PASSWORD}
    )
    page = answer.content.decode()
    assert answer.status_code == 200
    assert "No finding is located" in page
    assert "“Not seen” is not filled in" in page
    report.refresh_from_db()
    assert not report.signed


def test_a_wrong_password_stands_beside_its_field(marit: Person, diary: MuseumObject) -> None:
    report = start_draft(diary, by=marit)
    fill_draft(report, by=marit)
    make_finding(report, diary.faces.get(), by=marit)
    answer = at_the_door(marit).post(
        reverse("condition-sign", args=[report.uid]), {"password": "guessed"}
    )
    assert answer.context["form"].errors["password"] == [
        "This is not the password of Marit Oldacre; nothing was signed. Type it again."
    ]
    report.refresh_from_db()
    assert not report.signed


@pytest.mark.parametrize(
    ("role", "status"),
    [
        (Role.CURATOR, 403),
        (Role.REGISTRAR, 403),
        (Role.TECHNICIAN, 403),
        (Role.ATTENDANT, 403),
        (Role.CONSERVATOR, 200),
    ],
)
def test_only_a_conservator_writes_a_baseline(
    marit: Person, diary: MuseumObject, role: Role, status: int
) -> None:
    report = start_draft(diary, by=marit)
    client = at_the_door(make_person(role))
    assert client.get(reverse("condition-sign", args=[report.uid])).status_code == status


def test_a_curator_reads_the_draft_but_finds_no_form(marit: Person, diary: MuseumObject) -> None:
    report = start_draft(diary, by=marit)
    client = at_the_door(make_person(Role.CURATOR))
    page = client.get(reverse("condition-report", args=[report.uid])).content.decode()
    assert "<textarea" not in page
    assert reverse("condition-sign", args=[report.uid]) not in page


def test_strangers_are_sent_to_sign_in_and_forged_ids_are_not_found(
    marit: Person, diary: MuseumObject
) -> None:
    report = start_draft(diary, by=marit)
    assert Client().get(reverse("condition-report", args=[report.uid])).status_code == 302
    assert at_the_door(marit).get(reverse("condition-report", args=[uuid4()])).status_code == 404


def test_a_technician_may_start_part_a(marit: Person, showing: Showing) -> None:
    bram = make_person(Role.TECHNICIAN, name="Bram Oduya")
    client = at_the_door(bram)
    part_a = reverse("condition-start", args=[showing.uid]) + "?kind=deinstall_at_case"
    face = showing.museum_object.faces.get()
    data = start_data(bram, kind="deinstall_at_case", faces=[str(face.uid)])
    answer = client.post(part_a, data)
    assert answer.status_code == 302, answer.content.decode()
    report = ConditionReport.objects.get(kind=ReportKind.DEINSTALL_AT_CASE)
    assert report.entered_by == bram


def test_outside_a_showing_no_part_of_a_take_down_is_offered(
    marit: Person, diary: MuseumObject, showing: Showing
) -> None:
    client = at_the_door(marit)
    alone = client.get(reverse("object-condition-start", args=[diary.uid])).context["form"]
    kinds = {value for value, _ in alone.fields["kind"].choices}
    assert "return" in kinds
    assert not kinds & {"deinstall_at_case", "deinstall_at_bench"}
    assert alone["none_known"].value() == "no signed report of it is kept here"
    shown = client.get(reverse("condition-start", args=[showing.uid])).context["form"]
    assert "deinstall_at_bench" in dict(shown.fields["kind"].choices)


def test_hazards_of_the_object_stand_on_the_form_before_the_work(
    marit: Person, showing: Showing
) -> None:
    for hazard in (Hazard.MERCURY_SALTS, Hazard.SHARP):
        ObjectHazard(
            museum_object=showing.museum_object, hazard=hazard, evidence=HazardEvidence.TESTED
        ).keep(**kept_by())
    client = at_the_door(marit)
    start = client.get(reverse("condition-start", args=[showing.uid])).content.decode()
    report = start_draft(showing.museum_object, by=marit)
    bench = client.get(reverse("condition-report", args=[report.uid])).content.decode()
    light = client.get(reverse("condition-light-new", args=[report.uid])).content.decode()
    for page in (start, bench, light):
        assert "Mercury salts from old poisoning:" in page
        assert "Sharp" in page
    assert "goggles rated for UV" in light


def queries_of(client: Client, address: str) -> tuple[int, str]:
    """How many queries a page asks, and the page."""
    client.get(address)
    with CaptureQueriesContext(connection) as asked:
        page = client.get(address).content.decode()
    return len(asked), page


def test_a_check_after_treatment_stands_beside_its_baseline_finding_by_finding(
    marit: Person, diary: MuseumObject
) -> None:
    first = make_signed(diary, by=marit, findings=3)
    later = start_draft(diary, kind=ReportKind.AFTER_TREATMENT, by=marit, at=AT + A_DAY)
    mended, gone, _ = later.observations.order_by("feature__number")
    for seen, state in ((mended, FeatureState.TREATED), (gone, FeatureState.GONE)):
        answer_feature(
            observation=seen,
            sight=Sight(term=term(), state=state, zone="B2", severity=0, length_mm=Decimal(10)),
            revision=1,
            by=marit,
            role=Role.CONSERVATOR,
            at=AT + A_DAY,
        )
    before, today = first.report_faces.get(), later.report_faces.get()
    today = put_face_picture(
        row=today,
        picture=make_picture(today.face, marit, data=picture_bytes(91, 60)),
        nothing_further=False,
        by=marit,
        role=Role.CONSERVATOR,
        at=AT + A_DAY,
    )
    both = compare(first, later)
    said = [(row.number, row.outcome.value, row.grown_mm) for row in both.features]
    assert said == [(1, "treated", "-4 mm"), (2, "gone", "-4 mm"), (3, "not looked at", "")]
    assert compare(later, first) == both  # whichever is named first, the older stands first
    page = at_the_door(marit).get(reverse("condition-compare", args=[later.uid])).content.decode()
    assert today.picture is not None
    assert before.picture is not None
    slide = reverse("picture-look", args=[before.picture.uid]) + f"?over={today.picture.uid}"
    assert slide in page
    assert at_the_door(marit).get(slide).status_code == 200
    table = page.split("Features by what became of them")[1]
    for number, change, grown in said:
        group = table.split(f"<h3>{change.capitalize()} ")[1].split("</table>")[0]
        assert f'data-label="Size, and between">{grown}' in group.split(f">F{number} ")[1]


def test_the_second_name_is_asked_of_those_alone_who_have_not_signed(marit: Person) -> None:
    report = make_signed(by=marit)
    piers = make_person(Role.CONSERVATOR)
    way = reverse("condition-countersign", args=[report.uid])

    def read(who: Person) -> str:
        address = reverse("condition-report", args=[report.uid])
        return at_the_door(who).get(address).content.decode()

    assert way not in read(marit)
    assert way in read(piers)
    countersign_report(
        report=report,
        capacity=SignCapacity.SECOND_READER,
        hand=hand_of(piers, Role.CONSERVATOR),
        at=AT + timedelta(hours=9),
    )
    assert way not in read(piers)


def test_pages_ask_as_much_for_300_features_and_60_reports_as_for_one(marit: Person) -> None:
    """The draft, a signed report, the comparison, the dating of one change, the object's page."""
    client, asked = at_the_door(marit), []
    for features, reports in ((1, 2), (300, 60)):
        draft = many_reports(marit, features=features, reports=reports)
        rows = draft.observations.order_by("feature__number")
        assert rows.count() == features
        changed = rows[0]
        changed.state = FeatureState.WORSE
        changed.keep(by=marit, role=Role.CONSERVATOR, why="test", at=AT)
        first = draft.museum_object.condition_reports.order_by("examined_at")[0]
        pages = {
            "draft": reverse("condition-report", args=[draft.uid]),
            "signed": reverse("condition-report", args=[first.uid]),
            "compare": reverse("condition-compare", args=[draft.uid]) + f"?with={first.uid}",
            "verdict": reverse("condition-verdict", args=[changed.uid]),
            "object": reverse("object", args=[draft.museum_object.uid]),
        }
        found = {name: queries_of(client, address) for name, address in pages.items()}
        for name in ("draft", "signed"):
            assert found[name][1].count("<strong>F") == features
        assert found["compare"][1].count('<th scope="row">F') == features
        assert "Last seen unchanged" in found["draft"][1]
        asked.append({name: count for name, (count, _) in found.items()})
    assert asked[0] == asked[1]
    assert max(asked[0].values()) <= 64, asked[0]


def test_many_features_are_answered_in_one_table_or_none(
    marit: Person, diary: MuseumObject
) -> None:
    make_signed(diary, by=marit, findings=3)
    report = start_draft(diary, by=marit, kind=ReportKind.CALL_BACK)
    rows = list(report.observations.order_by("feature__number"))
    assert {row.state for row in rows} == {FeatureState.NOT_LOOKED_AT}
    client = at_the_door(marit)
    address = reverse("condition-answers", args=[report.uid])
    data = {f"state-{row.uid}": "same" for row in rows}
    data |= {f"version-{row.uid}": "1" for row in rows}
    stale = client.post(address, {**data, f"version-{rows[2].uid}": "7"})
    assert stale.status_code == 409
    assert {row.state for row in report.observations.all()} == {FeatureState.NOT_LOOKED_AT}
    crooked = {f"length-{rows[1].uid}": "-3", f"length-{rows[2].uid}": "long"}
    crooked |= {f"severity-{rows[0].uid}": "²"}
    wrong = client.post(address, {**data, **crooked})
    assert wrong.status_code == 409
    assert "F2: The length must be more than 0 mm" in wrong.content.decode()
    assert "F3: Length [mm]: Enter a number." in wrong.content.decode()
    assert wrong.content.decode().count('value="same" selected') == 3
    assert {row.state for row in report.observations.all()} == {FeatureState.NOT_LOOKED_AT}
    data[f"length-{rows[1].uid}"] = "31"
    assert client.post(address, data).status_code == 302
    assert {row.state for row in report.observations.all()} == {FeatureState.SAME}
    page = client.get(reverse("condition-report", args=[report.uid])).content.decode()
    assert "F2 is called “same”, but by its measures it is worse than in" in page
