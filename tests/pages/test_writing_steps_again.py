"""A logged step is written again in the browser; beside a deviation stands who agreed to it."""

from typing import Any

import pytest
from django.urls import reverse

from lifecycle.pages.treatment.step_form import ProposedStepForm
from lifecycle.process.stages import Stage
from lifecycle.records.models.treatment import TreatmentStep
from tests.actions.treatment.lab import Lab
from tests.builders.core import AT, kept_by
from tests.builders.treatment import PASSWORD, agree, put_at
from tests.pages.test_treatment_pages import Scene, step_form, text

pytestmark = pytest.mark.django_db


def test_the_form_still_offers_what_the_line_was_done_with_though_it_is_no_longer_in_use() -> None:
    lab = Lab()
    wrong = lab.log(material=lab.glue)
    lab.glue.used_up_on = wrong.step.retired_on = AT.date()
    lab.glue.keep(**kept_by())
    wrong.step.keep(**kept_by())
    for corrected, offered in ((None, False), (wrong, True)):
        form = ProposedStepForm()
        form.offer(lab.thing, AT, corrected)
        fields: dict[str, Any] = form.fields
        uid = str(lab.glue.uid)
        assert (uid in dict(fields["material"].choices)) is offered
        assert fields["material"].queryset.contains(lab.glue) is offered
        assert fields["step"].queryset.contains(wrong.step) is offered


def test_a_step_is_written_again_from_the_list_and_the_old_line_is_struck_through() -> None:
    scene = Scene()
    version = scene.sent()
    agree(scene.wen, version, at=AT)
    put_at(scene.showing, Stage.TREATMENT)
    client = scene.client(scene.marit)
    bench = reverse("bench", args=[version.proposal.uid])
    odd = step_form(hours="9", deviation="on", deviation_why="It was thicker.")
    client.post(bench, odd)
    wrong = TreatmentStep.objects.get()
    address = f"{bench}?correct={wrong.uid}"
    listed = text(client.get(reverse("proposal", args=[version.proposal.uid])))
    assert address in listed
    assert "Waits for the curator." in listed
    form: Any = client.get(address)
    start = form.context["form"].initial
    assert (start["hours"], start["deviation_why"]) == (wrong.hours, "It was thicker.")
    assert start["observed_at"] == wrong.observed_at
    refused = client.post(address, step_form(hours="0.5"))
    assert "leave the tick in" in text(refused)
    done = client.post(address, odd | {"hours": "0.5"}, follow=True)
    assert "Written again: mend" in text(done)
    page = text(client.get(bench))
    assert 'class="struck"' in page
    assert "Done so far, 0.5 h" in page
    right = TreatmentStep.objects.get(corrects=wrong)
    said = {"decision": "agree", "password": PASSWORD}
    scene.client(scene.wen).post(reverse("deviation", args=[right.uid]), said)
    assert "Agreed: Wen Castellane, " in text(client.get(bench))
