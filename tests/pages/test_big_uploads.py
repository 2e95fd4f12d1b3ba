"""A request larger than the limit is answered with our own page, before anything is kept."""

from io import BytesIO
from typing import Any

import pytest
from django.core.exceptions import RequestDataTooBig, SuspiciousOperation
from django.test import Client, RequestFactory

from lifecycle.exchange.pictures.kinds import MAX_BYTES, MEGABYTE
from lifecycle.pages.big_uploads import bad_request
from lifecycle.process.stages import Role
from tests.builders.core import make_museum
from tests.pages.signing_in import visitor

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def museum() -> None:
    make_museum()


def test_what_is_above_the_limit_is_answered_with_413_and_the_limit(
    client: Client, settings: Any
) -> None:
    assert settings.MAX_UPLOAD_MB * MEGABYTE > MAX_BYTES  # the biggest picture gets to its form
    settings.MAX_UPLOAD_MB = 1
    big = BytesIO(b"x" * (2 * MEGABYTE))
    answer = client.post("/theme/", {"theme": "day", "picture": big})
    assert answer.status_code == 413
    assert "1&nbsp;MB" in answer.content.decode()


def test_what_is_below_the_limit_passes(client: Client, settings: Any) -> None:
    settings.MAX_UPLOAD_MB = 1
    answer = client.post("/theme/", {"theme": "day", "note": "x" * 1000})
    assert answer.status_code == 302


def test_a_form_with_too_much_text_is_too_big_and_any_other_bad_request_is_bad() -> None:
    request = RequestFactory().get("/")
    assert bad_request(request, RequestDataTooBig()).status_code == 413
    assert bad_request(request, SuspiciousOperation()).status_code == 400


@pytest.mark.parametrize("address", ["/find/?q=a%00b", "/objects/?q=%00", "/vocabularies/a%00b/"])
def test_a_nul_in_an_address_is_a_page_of_ours_and_asks_no_record(address: str) -> None:
    """PostgreSQL keeps no such text; SQLite does, so that only this page tells the two apart."""
    answer = visitor(Role.STEWARD).get(address)
    assert answer.status_code == 400
    assert "could not be understood" in answer.content.decode()
