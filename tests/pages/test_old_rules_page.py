"""The page of what was treated under an old rule leads from the caution and calls all back."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils.timezone import now

from lifecycle.process.bench_cautions import Brings, Trait
from lifecycle.queries.treatment.materials import open_call_backs
from tests.actions.treatment.lab import Lab
from tests.actions.treatment.test_old_rules import later_rules, write
from tests.builders.core import AT
from tests.pages.signing_in import visitor

pytestmark = pytest.mark.django_db


def test_from_a_changed_caution_or_version_to_its_objects_all_called_back() -> None:
    lab = Lab()
    lab.log("mend")
    rule = write(trait=Trait.ANY, brings=Brings.MENDING)
    client = visitor(person=lab.marit)
    address = f"{reverse('treated-with')}?caution={rule.uid}"
    assert address in client.get(reverse("caution-rules")).content.decode()
    page = client.get(address).content.decode()
    assert lab.thing.object_number in page
    assert "when the house last wrote its caution on any object and a mend or fill" in page
    due = (now() + timedelta(days=9)).date().isoformat()
    form = {"objects": [lab.thing.uid], "reason": "Look at the mends.", "due_on": due}
    client.post(address, form)
    made = open_call_backs().get()
    assert made.caution_rule == rule
    assert "Caution changed, any object" in client.get(reverse("call-backs")).content.decode()
    assert (
        "Caution changed" in client.get(reverse("call-back-end", args=[made.uid])).content.decode()
    )

    last = later_rules(8, AT.date() - timedelta(days=1))
    later = later_rules(9, AT.date() + timedelta(days=1))
    of_rules = client.get(reverse("house-rules"), {"version": later.version}).content.decode()
    assert f"{reverse('treated-with')}?rules=9" in of_rules
    assert (
        lab.thing.object_number in client.get(f"{reverse('treated-with')}?rules=9").content.decode()
    )
    assert last.version == 8
    for strange in ("caution=no-uid", "rules=77", "rules=x"):
        assert client.get(f"{reverse('treated-with')}?{strange}").status_code == 404
