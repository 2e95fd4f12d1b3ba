"""What is written at the case is shown in gallery light, whatever the device was set to."""

from uuid import UUID

import pytest
from django.urls import reverse

from lifecycle.process.stages import Role
from lifecycle.process.words import ReportKind
from tests.builders.condition import start_draft
from tests.builders.core import make_face, make_museum, make_person, make_showing
from tests.pages.signing_in import visitor

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("kind", "dark"),
    [
        (ReportKind.DEINSTALL_AT_CASE, True),
        (ReportKind.OFF_GOING_FACE, True),
        (ReportKind.BASELINE, False),
    ],
)
def test_all_that_is_written_at_the_case_stays_dark_and_nothing_else(
    kind: ReportKind, dark: bool
) -> None:
    make_museum()
    marit = make_person(Role.CONSERVATOR)
    showing = make_showing(museum_object=make_face().museum_object)
    client = visitor(person=marit)

    def stays_dark(name: str, uid: UUID, asked: str = "") -> bool:
        page = client.get(reverse(name, args=[uid]) + asked)
        assert page.status_code == 200
        return 'data-theme="gallery"' in page.content.decode()

    assert stays_dark("condition-start", showing.uid, f"?kind={kind}") is dark
    report = start_draft(showing.museum_object, kind=kind, by=marit, showing=showing)
    assert stays_dark("condition-face", report.report_faces.get().uid) is dark
    for name in ("condition-report", "condition-conclusions", "condition-sign"):
        assert stays_dark(name, report.uid) is dark, name
