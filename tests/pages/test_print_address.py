"""What stands in the square code of a paper: an address that still leads here in thirty years."""

from typing import Any

from django.test import RequestFactory

from lifecycle.pages.papers.printing import base_address


def test_a_paper_carries_the_address_that_the_settings_give_the_house(settings: Any) -> None:
    settings.NAMED_URL = "https://showrest.museum.example"
    assert base_address(RequestFactory().get("/papers/")) == "https://showrest.museum.example"


def test_in_a_house_without_a_name_a_paper_carries_the_address_it_was_asked_at(
    settings: Any,
) -> None:
    settings.NAMED_URL = ""
    assert base_address(RequestFactory().get("/papers/")) == "http://testserver"
