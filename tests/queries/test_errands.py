"""From every reason of every gate there is one click to where it is mended."""

import pytest

from lifecycle.queries.errands import PAGES
from tests.process.breaks import BREAKS

ON_ITS_OWN_FORM = ("request.", "takeover.")
"""Reasons that stand beside the fields of the form that makes the move."""

ELSEWHERE = {
    "object.elsewhere": "another showing holds the object until it is home",
    "booking.overlap": "two exhibitions want it: their people have to agree",
    "face.never_show": "a face that must not be shown is not asked for",
}


@pytest.mark.parametrize("code", sorted({case.key.partition(":")[0] for case in BREAKS}))
def test_every_reason_of_a_gate_leads_to_the_page_that_mends_it(code: str) -> None:
    assert code in PAGES or code in ELSEWHERE or code.startswith(ON_ITS_OWN_FORM)
