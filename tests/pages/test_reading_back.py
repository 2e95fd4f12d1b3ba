"""The page a filled sheet is read back on: order of the paper, nothing lost, papers out."""

import hashlib
import io
from datetime import timedelta
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import call_command
from django.test import Client
from django.urls import reverse
from PIL import Image

from lifecycle.actions.condition.head import Conclusions, save_conclusions
from lifecycle.papers.stamped import faults_of_print, print_faults
from lifecycle.process.stages import Role
from lifecycle.process.words import Grade, ReportKind
from lifecycle.records.models import Document, Incident, Print, PrintReturn
from tests.builders.condition import make_signed, start_draft
from tests.builders.core import AT, make_face, make_museum, make_person
from tests.builders.printing import make_incident, make_movement, printed

pytestmark = pytest.mark.django_db
NOW = AT + timedelta(days=1)


@pytest.fixture
def bench(client: Client, monkeypatch: pytest.MonkeyPatch) -> Client:
    """A conservator at a keyboard, a day after the printing."""
    monkeypatch.setattr("lifecycle.pages.door.now", lambda: NOW)
    make_museum()
    person = make_person(Role.CONSERVATOR, name="Marit Oldacre")
    assert person.account is not None
    client.force_login(person.account)
    return client


def address(row: Print) -> str:
    return reverse("print-read-back", args=[row.uid])


def typed(row: Print, **answers: Any) -> dict[str, Any]:
    return {
        "sheet_code": row.code,
        "observed_at": "2026-06-02T14:00",
        "written_by_name": "Marit Oldacre",
        "no_scan_because": "The scanner is away.",
        **answers,
    }


def test_the_page_asks_in_the_order_of_the_paper_and_nothing_is_ticked(bench: Client) -> None:
    before = make_signed(at=AT - timedelta(days=30))
    row = printed(start_draft(before.museum_object, kind=ReportKind.BEFORE_INSTALL))

    said = bench.get(address(row)).content.decode()

    order = ["Tick what you see", "Seen as", "F1 split at fold", "F2, new", "Judgement", "Grade",
             "Stability", "Signatures", "Running page"]  # fmt: skip
    places = [said.index(words) for words in order]
    assert places == sorted(places)
    form = said[said.index('class="read-back"') :]
    assert "checked" not in form[: form.index("</form>")]
    assert "14 lines, to open when something stands there" in said
    assert bench.get(address(printed(make_movement()))).status_code == 404


def test_another_sheet_is_named_and_scan_and_words_stay_until_it_is_right(bench: Client) -> None:
    draft = start_draft(make_face().museum_object)
    row, other = printed(draft), printed(start_draft(make_face().museum_object))
    out = io.BytesIO()
    Image.new("RGB", (40, 60), "white").save(out, "PNG")
    scan = SimpleUploadedFile("sheet.png", out.getvalue(), "image/png")
    form = typed(row, sheet_code=other.code, grade="poor", notes="A tear at the fold.")
    form |= {"no_scan_because": "", "scan": scan}

    said = bench.post(address(row), form).content.decode()

    assert f"The sheet in your hand is {other.print_no}" in said
    assert "A tear at the fold." in said
    assert 'value="poor"' in said
    kept = Document.objects.get()
    assert f'value="{kept.uid}"' in said
    assert not PrintReturn.objects.exists()

    form = typed(row, grade="poor", notes="A tear at the fold.")
    form |= {"no_scan_because": "", "kept_scan": str(kept.uid)}
    assert bench.post(address(row), form).status_code == 302
    returned = PrintReturn.objects.get()
    assert (returned.scan, returned.print) == (kept, row)
    draft.refresh_from_db()
    assert draft.grade == "poor"
    shown = bench.get(reverse("print", args=[row.uid])).content.decode()
    assert "What went into the record: 2 lines" in shown
    assert row.print_no not in bench.get(reverse("papers")).content.decode()
    again = bench.get(address(row)).content.decode()
    assert "Return 1: poor" in again


def test_a_line_written_since_is_chosen_beside_the_sheet(bench: Client) -> None:
    draft = start_draft(make_face().museum_object)
    row = printed(draft)
    save_conclusions(
        report=draft, conclusions=Conclusions(grade=Grade.GOOD),
        revision=draft.conclusions_revision, by=draft.entered_by, role=Role.CONSERVATOR,
        at=AT + timedelta(hours=2),
    )  # fmt: skip

    answer = bench.post(address(row), typed(row, grade="poor", stability="stable"))

    assert answer.status_code == 409
    said = answer.content.decode()
    assert "the record says “good”, written since" in said
    assert 'name="stands-grade"' in said
    assert 'name="stands-stability"' not in said
    form = typed(row, grade="poor", stability="stable") | {"stands-grade": "sheet"}
    assert bench.post(address(row), form).status_code == 302
    draft.refresh_from_db()
    assert (draft.grade, draft.stability) == ("poor", "stable")


def test_an_incident_report_is_printed_and_read_back_with_who_was_told(bench: Client) -> None:
    incident = make_incident()
    finder = incident.reporter
    row = printed(incident)
    form = typed(
        row,
        written_by=str(finder.uid),
        statement="The pane was wet inside.",
        made_safe="Dried and moved to the bench.",
        safe_at="2026-06-02 13:30",
        **{"told.conservator.name": "Marit Oldacre", "told.conservator.how": "telephone"},
    )

    wrong = bench.post(address(row), form | {"safe_at": "at once"}).content.decode()
    assert "“at once” is no day and time" in wrong
    assert bench.post(address(row), form).status_code == 302

    incident = Incident.objects.get()
    assert incident.made_safe_what == "Dried and moved to the bench."
    assert incident.made_safe_by == finder
    assert incident.statements.get().text == "The pane was wet inside."
    assert incident.told.get().name == "Marit Oldacre"


def test_the_digest_of_a_print_is_computed_again_from_the_text_of_the_record(
    bench: Client, capsys: pytest.CaptureFixture[str]
) -> None:
    signed = make_signed(findings=0)
    draft = printed(start_draft(make_face().museum_object))
    for row in (draft, printed(signed)):
        text = bench.get(reverse("print-text", args=[row.uid])).content
        assert hashlib.sha256(text).hexdigest() == row.digest
    assert print_faults() == (2, [])
    call_command("verify")
    assert "2 prints, 0 faults" in capsys.readouterr().out

    draft.words["paper"]["report_no"] = "CR-9999"
    (fault,) = faults_of_print(draft)
    assert "no longer give the digest" in fault
