"""A condition report signed by hand: from its page to the sheet that is out, and back to sign."""

from datetime import timedelta
from typing import Any

import pytest
from django.urls import reverse

from lifecycle.actions.papers_out import Return, mark_back
from lifecycle.process.stages import Role
from lifecycle.records.models import Signature
from tests.builders.condition import fill_draft, make_finding, picture_bytes, start_draft
from tests.builders.core import AT, make_face, make_museum, make_person
from tests.builders.printing import printed
from tests.pages.signing_in import visitor

pytestmark = pytest.mark.django_db
LATER = AT + timedelta(days=1)


def test_a_report_signed_by_hand_is_read_back_and_its_scan_shows_the_signature_too() -> None:
    make_museum()
    marit, piers = (
        make_person(Role.CONSERVATOR, name=name) for name in ("Marit Oldacre", "Piers Hallam")
    )
    face = make_face()
    report = start_draft(faces=[face], by=marit)
    fill_draft(report, by=marit)
    make_finding(report, face, by=marit)
    row = printed(report)
    client = visitor(person=piers)
    draft, sign = (
        reverse(name, args=[report.uid]) for name in ("condition-report", "condition-sign")
    )
    page = client.get(draft).content.decode()
    assert f"{row.print_no} is out to be signed" in page
    assert reverse("print-read-back", args=[row.uid]) in page
    assert "sheet" not in client.get(sign).context["form"].fields
    details = Return(written_by_name="Marit Oldacre", observed_at=LATER, scan=picture_bytes())
    hand: dict[str, Any] = {"by": piers, "role": Role.CONSERVATOR, "at": LATER}
    (returned,) = mark_back(prints=[row], details=details, **hand)
    assert "is out to be signed" not in client.get(draft).content.decode()
    typed = {"signed_on_paper_by": str(marit.uid), "signed_at": "2026-06-03T09:00"}
    assert client.post(sign, typed).context["form"].errors.keys() == {"scan"}
    client.post(sign, typed | {"sheet": str(row.uid)})
    signature = Signature.objects.get()
    assert (signature.person, signature.read_back_by) == (marit, piers)
    assert (signature.scan, signature.note) == (returned.scan, row.print_no)
    assert f"Signed on paper ({row.print_no}), scan" in client.get(draft).content.decode()
