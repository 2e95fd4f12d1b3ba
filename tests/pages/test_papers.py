"""The pages of the papers: list, printing by POST, reading a print, returns, and the QR landing."""

from datetime import timedelta
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from lifecycle.process.stages import Role
from lifecycle.records.models import Movement, Person, Print
from tests.builders.core import AT, kept_by, make_museum, make_person
from tests.builders.printing import make_movement, make_report, make_turn, on_display, printed
from tests.papers.reading import page_texts

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _at_work(monkeypatch: pytest.MonkeyPatch) -> None:
    """The door's clock stands at the moment the builders use."""
    monkeypatch.setattr("lifecycle.pages.door.now", lambda: AT + timedelta(hours=1))


def signed_in_as(role: Role, client: Client) -> Person:
    make_museum()
    person = make_person(role)
    assert person.account is not None
    client.force_login(person.account)
    return person


def print_it(client: Client, movement: Movement, **changes: Any) -> Any:
    data = {"copy_word": "to_sign", "page_size": "a4"} | changes
    return client.post(reverse("print-new", args=["movement_slip", movement.uid]), data)


def test_printing_is_a_post_that_leads_to_a_page_drawn_from_the_row(client: Client) -> None:
    signed_in_as(Role.REGISTRAR, client)
    movement = make_movement()

    answer = print_it(client, movement)

    row = Print.objects.get()
    assert answer.status_code == 302
    assert answer["Location"] == reverse("print", args=[row.uid])
    assert row.address == f"http://testserver/p/{row.code}/"


def test_a_get_writes_nothing_and_gives_the_same_bytes_each_time(client: Client) -> None:
    signed_in_as(Role.REGISTRAR, client)
    row = printed(make_movement())
    before = Print.objects.count()

    first = client.get(reverse("print-pdf", args=[row.uid]))
    second = client.get(reverse("print-pdf", args=[row.uid]))

    assert first["Content-Type"] == "application/pdf"
    assert first.content == second.content
    assert first.content.startswith(b"%PDF-")
    assert 'filename="PR-00001.pdf"' in first["Content-Disposition"]
    assert Print.objects.count() == before


def test_the_page_of_a_print_is_its_accessible_version(client: Client) -> None:
    signed_in_as(Role.REGISTRAR, client)
    row = printed(on_display())

    text = client.get(reverse("print", args=[row.uid])).content.decode()

    for words in ("Part A, in the gallery, as found", "Last in-display report", "not assessed"):
        assert words in text
    assert row.digest in text
    assert "The record has moved on" not in text


def test_a_page_says_which_lines_differ_once_the_record_moved_on(client: Client) -> None:
    signed_in_as(Role.REGISTRAR, client)
    movement = make_movement()
    row = printed(movement)
    movement.route_remarks = "Lift B is out of order"
    movement.keep(**kept_by())

    text = client.get(reverse("print", args=[row.uid])).content.decode()

    assert "The record has moved on" in text
    assert "Lift B is out of order" in text


def test_html_in_a_title_is_shown_as_it_was_typed(client: Client) -> None:
    signed_in_as(Role.REGISTRAR, client)
    report = make_report()
    report.museum_object.title = "<script>alert(1)</script>"
    report.museum_object.keep(**kept_by())
    row = printed(report)

    text = client.get(reverse("print", args=[row.uid])).content.decode()

    assert "<script>alert(1)" not in text
    assert "&lt;script&gt;alert(1)" in text


def test_the_landing_goes_to_the_record_and_says_what_one_holds(client: Client) -> None:
    signed_in_as(Role.REGISTRAR, client)
    movement = make_movement()
    row = printed(movement)

    answer = client.get(f"/p/{row.code}/", follow=True)

    assert answer.redirect_chain[0][0] == reverse("movement", args=[movement.uid])
    assert "It says what the record says" in answer.content.decode()


def test_the_landing_warns_when_the_record_moved_on_and_forgives_lower_case(
    client: Client,
) -> None:
    signed_in_as(Role.REGISTRAR, client)
    movement = make_movement()
    row = printed(movement)
    movement.route_remarks = "Lift B is out of order"
    movement.keep(**kept_by())

    text = client.get(f"/p/{row.code.lower()}/", follow=True).content.decode()

    assert "PR-00001, movement slip" in text
    assert "The record has moved on since it was printed" in text


def test_the_landing_asks_for_sign_in(client: Client) -> None:
    row = printed(make_movement())

    answer = client.get(f"/p/{row.code}/")

    assert answer.status_code == 302
    assert "sign-in" in answer["Location"]


def test_a_code_of_another_record_leads_to_its_page_and_an_unknown_one_to_404(
    client: Client,
) -> None:
    signed_in_as(Role.REGISTRAR, client)
    movement = make_movement()

    answer = client.get(f"/p/{movement.code}/")

    assert answer["Location"] == reverse("movement", args=[movement.uid])
    assert client.get("/p/ZZZZZZZ/").status_code == 404
    assert client.get("/p/no-code-at-all/").status_code == 404


def test_who_may_not_see_the_object_finds_no_print(client: Client) -> None:
    signed_in_as(Role.ATTENDANT, client)
    row = printed(make_movement())

    for name in ("print", "print-pdf"):
        assert client.get(reverse(name, args=[row.uid])).status_code == 404
    assert client.get(f"/p/{row.code}/").status_code == 404


def test_a_role_that_may_not_print_gets_403_and_a_forged_record_404(client: Client) -> None:
    signed_in_as(Role.CURATOR, client)
    movement = make_movement()

    assert print_it(client, movement).status_code == 403
    assert not Print.objects.exists()
    assert client.get(f"/papers/print/no_paper/{movement.uid}/").status_code == 404
    assert client.get(f"/papers/print/deinstall_form/{movement.uid}/").status_code == 404


@pytest.mark.parametrize(
    "changes",
    [
        {"copy_word": "gold"},
        {"page_size": "a9"},
        {"expected_back_by": "31.02.2026"},
        {"expected_back_by": "2020-01-01"},
        {"copy_word": "signed_copy"},
    ],
)
def test_bad_input_stays_on_the_form_and_prints_nothing(
    client: Client, changes: dict[str, str]
) -> None:
    signed_in_as(Role.REGISTRAR, client)

    answer = print_it(client, make_movement(), **changes)

    assert answer.status_code == 200
    assert "errorlist" in answer.content.decode()
    assert not Print.objects.exists()


def test_a_refused_print_says_why_on_its_page(client: Client) -> None:
    signed_in_as(Role.REGISTRAR, client)
    movement = make_movement(route_remarks="𓀀")

    text = print_it(client, movement).content.decode()

    assert "U+13000" in text
    assert not Print.objects.exists()


def test_the_list_shows_what_to_print_and_what_is_out(client: Client) -> None:
    signed_in_as(Role.REGISTRAR, client)
    turn, movement, report = make_turn(), make_movement(), make_report()
    out = printed(movement)

    text = client.get(reverse("papers")).content.decode()

    for number in (turn.appointment_no, movement.movement_no, report.report_no, out.print_no):
        assert number in text
    assert "1 time" in text


def test_the_list_can_be_asked_for_a_day_an_object_and_a_showing(client: Client) -> None:
    signed_in_as(Role.REGISTRAR, client)
    showing = on_display()
    make_turn()
    number = showing.museum_object.object_number

    by_object = client.get(reverse("papers"), {"museum_object": number}).content.decode()
    by_showing = client.get(reverse("papers"), {"showing": showing.request_no}).content.decode()
    by_day = client.get(reverse("papers"), {"day": "2026-06-08"}).content.decode()
    wrong = client.get(reverse("papers"), {"museum_object": "HCM.0", "day": "soon"})

    for text in (by_object, by_showing):
        assert showing.request_no in text
        assert "TU-0001" not in text
    assert "TU-0001" in by_day
    assert wrong.status_code == 200
    assert "No object has the number" in wrong.content.decode()


def test_the_list_asks_the_same_queries_however_long_it_is(client: Client) -> None:
    signed_in_as(Role.REGISTRAR, client)

    counts = []
    for more in (1, 2):
        for _ in range(more):
            make_turn()
            make_report()
            on_display()
            printed(make_movement())
        client.get(reverse("papers"))
        with CaptureQueriesContext(connection) as asked:
            client.get(reverse("papers"))
        counts.append(len(asked))

    assert counts[0] == counts[1]


def test_several_prints_are_marked_back_together_with_a_scan(client: Client) -> None:
    signed_in_as(Role.REGISTRAR, client)
    rows = [printed(make_movement()) for _ in range(2)]
    address = reverse("papers"), {"print": [str(row.uid) for row in rows], "back": "1"}
    chosen = client.get(*address)

    answer = client.post(
        chosen["Location"],
        {
            "written_by_name": "Bram Oduya",
            "observed_at": (AT + timedelta(minutes=90)).strftime("%Y-%m-%dT%H:%M"),
            "scan": SimpleUploadedFile("slip.pdf", b"%PDF-1.4 slip %%EOF", "application/pdf"),
        },
    )

    assert answer.status_code == 302
    assert all(row.returns.get().scan is not None for row in rows)
    assert "No paper is out" in client.get(reverse("papers")).content.decode()


def test_a_second_return_shows_the_first_and_asks(client: Client) -> None:
    signed_in_as(Role.REGISTRAR, client)
    row = printed(make_movement())
    address = f"{reverse('papers-back')}?print={row.uid}"
    sheet = {
        "written_by_name": "Bram Oduya",
        "observed_at": (AT + timedelta(minutes=90)).strftime("%Y-%m-%dT%H:%M"),
        "no_scan_because": "The scanner is away.",
    }
    client.post(address, sheet)

    shown = client.get(address).content.decode()
    asked = client.post(address, sheet)
    client.post(address, sheet | {"first_seen": "on"})

    assert "return 1: written by Bram Oduya" in shown
    assert "came back already" in asked.content.decode()
    assert row.returns.count() == 2


def test_reading_back_says_when_the_record_moved_on_meanwhile(client: Client) -> None:
    """Both are shown, and a person chooses."""
    signed_in_as(Role.REGISTRAR, client)
    movement = make_movement()
    row = printed(movement)
    address = f"{reverse('papers-back')}?print={row.uid}"
    assert "Compare PR-00001" not in client.get(address).content.decode()

    movement.route_remarks = "Lift B is out of order"
    movement.keep(**kept_by())

    assert "Compare PR-00001 with the record" in client.get(address).content.decode()


def test_several_are_written_off_with_one_reason_and_none_chosen_is_said(client: Client) -> None:
    signed_in_as(Role.REGISTRAR, client)
    rows = [printed(make_movement()) for _ in range(2)]
    query = "&".join(f"print={row.uid}" for row in rows)
    form = {"state": "void", "reason": "Printed twice."}

    none = client.post(reverse("papers-write-off"), form).content.decode()
    answer = client.post(f"{reverse('papers-write-off')}?{query}&print=nonsense", form)

    assert "Choose at least one print" in none
    assert answer.status_code == 302
    assert [row.write_off.reason for row in rows] == ["Printed twice.", "Printed twice."]
    text = client.get(reverse("papers"), {"all": "1"}).content.decode()
    assert text.count("void") >= 2


def test_a_scan_that_is_none_is_refused_at_its_field(client: Client) -> None:
    signed_in_as(Role.REGISTRAR, client)
    row = printed(make_movement())

    answer = client.post(
        f"{reverse('papers-back')}?print={row.uid}",
        {
            "written_by_name": "Bram Oduya",
            "observed_at": "2026-06-02T10:30",
            "scan": SimpleUploadedFile("slip.exe", b"MZ nonsense", "application/pdf"),
        },
    )

    assert answer.status_code == 200
    assert "A scan must be a PDF, JPEG or PNG file" in answer.content.decode()
    assert not row.returns.exists()


def test_chosen_papers_are_printed_together_as_one_file_each_with_its_number(
    client: Client,
) -> None:
    signed_in_as(Role.REGISTRAR, client)
    movement, turn, showing = make_movement(), make_turn(), on_display()
    chosen = [
        f"movement_slip:{movement.uid}",
        f"turn_instruction:{turn.uid}",
        f"deinstall_form:{showing.uid}",
    ]

    answer = client.post(reverse("print-chosen"), {"papers": chosen})
    pack = client.get(answer["Location"])

    rows = Print.objects.order_by("print_no")
    assert [row.paper for row in rows] == ["movement_slip", "turn_instruction", "deinstall_form"]
    texts = page_texts(pack.content)
    assert len(texts) == sum(row.pages for row in rows)
    for row in rows:
        own = [text for text in texts if f"print {row.print_no}" in text]
        assert [f"Page {n} of {row.pages}" in text for n, text in enumerate(own, 1)] == [
            True
        ] * row.pages
    assert client.get(answer["Location"]).content == pack.content


def test_one_paper_that_cannot_be_printed_leaves_the_whole_pack_unprinted(
    client: Client,
) -> None:
    signed_in_as(Role.REGISTRAR, client)
    good, bad = make_movement(), make_movement(route_remarks="𓀀")

    answer = client.post(
        reverse("print-chosen"),
        {"papers": [f"movement_slip:{good.uid}", f"movement_slip:{bad.uid}"]},
        follow=True,
    )

    assert f"{bad.movement_no}: The route remarks holds" in answer.content.decode()
    assert not Print.objects.exists()


def test_a_pack_of_nothing_or_of_nonsense_is_said(client: Client) -> None:
    signed_in_as(Role.REGISTRAR, client)

    nothing = client.post(reverse("print-chosen"), follow=True).content.decode()

    assert "Choose at least one paper to print" in nothing
    assert client.post(reverse("print-chosen"), {"papers": ["nonsense"]}).status_code == 404
    assert client.post(reverse("print-chosen"), {"papers": ["movement_slip:1"]}).status_code == 404
    assert client.get(reverse("papers-pack"), {"print": ["nonsense"]}).status_code == 404
    assert client.get(reverse("print-chosen")).status_code == 405
