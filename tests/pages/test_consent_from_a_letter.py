"""From the letter's link to the bench: agreed within limits, the one step outside them refused."""

import re
from datetime import date, timedelta
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils.timezone import now

from lifecycle.actions.treatment import (
    LeftOut,
    StepDraft,
    agree_standing_consent,
    write_standing_consent,
)
from lifecycle.actions.treatment.sequences import UsualStep, write_sequence
from lifecycle.letters.morning import morning_letter
from lifecycle.process.stages import Role, Stage
from lifecycle.queries.morning import morning_of
from lifecycle.records.models import Person, Print, Vocabulary
from lifecycle.records.models.treatment import (
    CautionRule,
    Consent,
    Decision,
    ProposalVersion,
    StepSequence,
    TreatmentStep,
)
from tests.builders.condition import picture_bytes
from tests.builders.core import (
    AT,
    kept_by,
    make_exhibition,
    make_face,
    make_museum,
    make_object,
    make_person,
    make_showing,
    make_word,
)
from tests.builders.display import put_at
from tests.builders.treatment import PASSWORD, agree, make_sent, step_word
from tests.pages.signing_in import visitor

pytestmark = pytest.mark.django_db
LIMITS = "no humidification of ff. 88v-89r"
SITE = "https://showrest.example"


class Scene:
    """A diary with two openings; mending and humidifying are proposed, sent on ``AT``."""

    def __init__(self) -> None:
        make_museum()
        self.marit: Person = make_person(Role.CONSERVATOR, name="Marit Oldacre")
        self.wen: Person = make_person(Role.CURATOR, name="Wen Castellane")
        exhibition = make_exhibition()
        exhibition.curators.add(self.wen)
        self.diary = make_object(object_number="HCM.1908.12", title="Weather diary")
        self.a = make_face(self.diary, label="ff. 31v-32r")
        self.b = make_face(self.diary, label="ff. 88v-89r", order=2)
        self.showing = make_showing(exhibition=exhibition, museum_object=self.diary)
        self.version: ProposalVersion = make_sent(
            self.marit,
            showing=self.showing,
            steps=(StepDraft(step=step_word("mend")), StepDraft(step=step_word("humidify"))),
            materials=(),
        )
        put_at(self.showing, Stage.TREATMENT)

    def client(self, person: Person) -> Client:
        return visitor(person=person)

    @property
    def bench(self) -> str:
        return reverse("bench", args=[self.version.proposal.uid])


def test_a_step_that_the_limits_leave_out_is_not_called_covered() -> None:
    scene = Scene()
    line = scene.version.steps.get(step=step_word("humidify"))
    out = LeftOut(step=line.step, face=None)
    agree(
        scene.wen,
        scene.version,
        at=AT,
        decision=Decision.AGREE_WITHIN_LIMITS,
        limits=LIMITS,
        left_out=[out],
    )
    bench = text(scene.client(scene.marit).get(scene.bench))
    assert "Not covered: humidify on every face" in bench
    assert "Covered: mend." in bench


@pytest.fixture
def scene() -> Scene:
    return Scene()


def text(response: Any) -> str:
    return str(response.content.decode())


def local_now() -> str:
    return f"{now().astimezone(ZoneInfo('Europe/London')):%Y-%m-%dT%H:%M}"


def step(code: str, **values: Any) -> dict[str, Any]:
    return {
        "step": step_word(code).uid,
        "observed_at": local_now(),
        "result": "Holds.",
        "hours": "0.25",
        "light": "diffuse",
    } | values


def test_the_curator_agrees_within_limits_from_the_letter_and_the_bench_keeps_to_them(
    scene: Scene,
) -> None:
    day8 = AT + timedelta(days=8)
    letter = morning_letter(morning_of(person=scene.wen, day=day8.date(), at=day8), site=SITE)
    assert letter is not None
    (path,) = re.findall(rf"{SITE}(/proposals/versions/\S+)", letter.body)
    curator = scene.client(scene.wen)
    page = text(curator.get(path))
    assert "counts for this version only" in page
    assert "humidify on ff. 88v-89r" in page
    curator.post(
        path,
        {
            "decision": "agree_within_limits",
            "limits": LIMITS,
            "left_out": [f"{step_word('humidify').uid}:{scene.b.uid}"],
            "password": PASSWORD,
        },
    )
    assert Consent.objects.get().limits == LIMITS
    assert "versions" not in str(
        [line.path for line in morning_of(person=scene.wen, day=day8.date(), at=now()).lines]
    )

    marit = scene.client(scene.marit)
    bench = text(marit.get(scene.bench))
    assert f"Wen Castellane: {LIMITS}" in bench
    assert "Covered: mend, humidify." in bench
    refused = text(marit.post(scene.bench, step("humidify", face=scene.b.uid)))
    assert f"leaves out humidify on ff. 88v-89r (Wen Castellane: {LIMITS})" in refused
    assert not TreatmentStep.objects.exists()
    for code, face in (("humidify", scene.a), ("mend", scene.b)):
        assert marit.post(scene.bench, step(code, face=face.uid)).status_code == 302
    assert TreatmentStep.objects.count() == 2


def test_the_bench_shows_first_what_every_step_needs_and_folds_the_rest(scene: Scene) -> None:
    marit = scene.client(scene.marit)
    page = text(marit.get(scene.bench))
    before_folds = page[: page.index('<details class="fold"')]
    for name in ("step", "material", "minutes", "result", "hours", "observed_at"):
        assert f'name="{name}"' in before_folds
    assert 'name="emergency_reason"' not in before_folds
    wrong = text(marit.post(scene.bench, step("mend", emergency="on")))
    fold = wrong[wrong.index("An emergency") - 60 :][:60]
    assert "open" in fold


def test_a_step_is_done_again_with_its_figures(scene: Scene) -> None:
    agree(scene.wen, scene.version, at=AT)
    marit = scene.client(scene.marit)
    marit.post(scene.bench, step("mend", minutes="12", area="C2", face=scene.a.uid))
    logged = TreatmentStep.objects.get()
    again = f"{scene.bench}?again={logged.uid}"
    assert again in text(marit.get(scene.bench)).replace("&amp;", "&")
    page = text(marit.get(again))
    assert 'value="12.0"' in page
    assert 'value="C2"' in page
    assert text(marit.get(f"{scene.bench}?again=nonsense"))


def test_several_pictures_come_with_one_step(scene: Scene) -> None:
    agree(scene.wen, scene.version, at=AT)
    sent = [
        SimpleUploadedFile(f"{colour}.jpg", picture_bytes(colour=colour), "image/jpeg")
        for colour in ("ivory", "grey")
    ]
    marit = scene.client(scene.marit)
    marit.post(scene.bench, step("mend", face=scene.a.uid, picture=sent))
    shown = TreatmentStep.objects.get().pictures.select_related("picture")
    assert sorted(row.picture.name for row in shown) == ["grey.jpg", "ivory.jpg"]


def sequence(scene: Scene, *codes: str) -> StepSequence:
    return write_sequence(
        by=scene.marit,
        role=Role.CONSERVATOR,
        at=AT,
        name="Local mend",
        used_for="Short tears.",
        lines=[
            UsualStep(step=step_word(code), hours=Decimal(1), result="Holds.") for code in codes
        ],
    )


def test_a_sequence_is_logged_in_one_go_or_not_at_all(scene: Scene) -> None:
    agree(scene.wen, scene.version, at=AT)
    row = sequence(scene, "mend", "press")
    marit = scene.client(scene.marit)
    address = reverse("step-sequence-run", args=[scene.version.proposal.uid, row.uid])
    assert address in text(marit.get(scene.bench))
    assert "Holds." in text(marit.get(address))
    said = {"version": 1, "observed_at": local_now(), "row-1-was_done": "on"}
    for number in (1, 2):
        said |= {f"row-{number}-result": "Holds.", f"row-{number}-hours": "0.5"}
    page = text(marit.post(address, said | {"row-2-was_done": "on"}))
    assert "speaks for press" in page
    assert not TreatmentStep.objects.exists()
    bad = text(marit.post(address, said | {"row-1-minutes": "-5"}))
    assert "below nothing" in bad
    stale = text(marit.post(address, said | {"version": 7}))
    assert "was changed meanwhile" in stale
    assert marit.post(address, said).status_code == 302
    assert TreatmentStep.objects.get().step.code == "mend"


def test_minor_steps_are_logged_in_one_go_under_their_standing_consent(scene: Scene) -> None:
    said: dict[str, Any] = {"by": scene.marit, "role": Role.CONSERVATOR, "at": AT}
    standing = write_standing_consent(
        **said,
        object_type=scene.diary.object_type,
        steps=[step_word("dust")],
        limits="Soft brush.",
        from_on=AT.date(),
        until_on=date(2099, 1, 1),
    )
    head = make_person(Role.HEAD_OF_COLLECTIONS)
    for person, role in ((scene.wen, Role.CURATOR), (head, Role.HEAD_OF_COLLECTIONS)):
        agree_standing_consent(by=person, role=role, at=AT, standing=standing)
    row = sequence(scene, "dust", "unframe")
    marit = scene.client(scene.marit)
    address = reverse("step-sequence-run-object", args=[scene.diary.uid, row.uid])
    assert address in text(marit.get(reverse("bench-object", args=[scene.diary.uid])))
    form: dict[str, Any] = {"version": 1, "observed_at": local_now(), "row-1-was_done": "on"}
    for number in (1, 2):
        form |= {f"row-{number}-result": "Done.", f"row-{number}-hours": "0.1"}
    refused = text(marit.post(address, form | {"row-2-was_done": "on"}))
    assert "No standing consent covers unframe" in refused
    assert marit.post(address, form).status_code == 302
    assert TreatmentStep.objects.get().standing == standing


def test_sending_says_when_the_work_would_start_before_the_answers_are_due(scene: Scene) -> None:
    soon = (now() + timedelta(days=3)).date()
    marit = scene.client(scene.marit)
    marit.post(reverse("proposal-next", args=[scene.version.proposal.uid]))
    fresh = scene.version.proposal.versions.get(version=2)
    fresh.start_not_before, fresh.finish_by = soon, soon + timedelta(days=30)
    fresh.keep(**kept_by())
    address = reverse("proposal-send", args=[fresh.uid])
    assert "Answers have time until" in text(marit.get(address))
    fresh.start_not_before = soon + timedelta(days=25)
    fresh.keep(**kept_by())
    assert "Answers have time until" not in text(marit.get(address))


def test_a_sequence_is_written_changed_and_put_away_in_the_browser(scene: Scene) -> None:
    marit = scene.client(scene.marit)
    rows = {"lines-TOTAL_FORMS": "2", "lines-INITIAL_FORMS": "0", "lines-1-hours": "0.25"}
    said = {"version": 1, "name": "Dry clean", "used_for": ""} | rows
    missing = text(marit.post(reverse("step-sequence-new"), said))
    assert "Name at least one step" in missing
    said |= {"lines-0-step": step_word("dust").uid, "lines-0-hours": "0.5"}
    marit.post(reverse("step-sequence-new"), said)
    row = StepSequence.objects.get()
    address = reverse("step-sequence", args=[row.uid])
    assert 'value="Dry clean"' in text(marit.get(address))
    marit.post(address, said | {"name": "Dry cleaning"})
    assert StepSequence.objects.get().name == "Dry cleaning"
    assert marit.post(address, said).status_code == 409
    marit.post(reverse("step-sequence-away", args=[row.uid]))
    assert "put away" in text(marit.get(reverse("step-sequences")))


def test_a_caution_of_the_house_is_written_by_the_head_and_read_by_all(scene: Scene) -> None:
    head = scene.client(make_person(Role.HEAD_OF_COLLECTIONS))
    address = reverse("caution-rule", args=["cyanotype", "alkali"])
    assert "bleaches the blue" in text(head.get(address))
    said = {"text": "Never here.", "source": "Our trial.", "basis": "house", "why": "Trial."}
    head.post(address, said | {"in_use": "on"})
    assert CautionRule.objects.get().asks is False
    listed = text(scene.client(scene.wen).get(reverse("caution-rules")))
    assert "Never here." in listed
    assert "the house’s own" in listed
    back = f"{address}?shipped"
    assert 'href="?shipped"' in text(head.get(address))
    shipped = head.get(back).context["form"]
    assert "bleaches the blue" in shipped["text"].value()
    said = {name: shipped[name].value() for name in ("text", "source", "basis")}
    head.post(back, said | {"asks": "on", "in_use": "on", "why": "Our trial was one sheet."})
    assert "the house’s own" not in text(head.get(reverse("caution-rules")))
    assert 'href="?shipped"' not in text(head.get(address))
    nowhere = reverse("caution-rule", args=["cyanotype", "lining"])
    assert head.get(nowhere).status_code == 404


def test_saving_a_draft_names_the_cautions_it_raises_and_sending_waits_for_reasons(
    scene: Scene,
) -> None:
    scene.diary.materials.add(make_word(Vocabulary.MATERIAL, "iron-gall-ink"))
    marit = scene.client(scene.marit)
    proposal = scene.version.proposal
    marit.post(reverse("proposal-next", args=[proposal.uid]))
    page = text(marit.get(reverse("proposal-write", args=[proposal.uid])))
    assert 'name="caution-iron_gall_ink-moisture"' in page
    assert "irongallink.org" in page
    fresh = proposal.versions.get(version=2)
    waiting = text(marit.get(reverse("proposal-send", args=[fresh.uid])))
    assert "Say why you propose it all the same" in waiting


def test_the_proposal_is_printed_with_a_place_to_decide_for_each_who_is_asked(
    scene: Scene,
) -> None:
    marit = scene.client(scene.marit)
    address = reverse("print-new", args=["treatment_proposal", scene.version.uid])
    assert address in text(marit.get(reverse("proposal", args=[scene.version.proposal.uid])))
    marit.post(address, {"copy_word": "to_sign"})
    row = Print.objects.get()
    assert (row.record_no, row.record_version) == (scene.version.proposal.proposal_no, 1)
    assert row.digest == scene.version.digest
    assert row.words["paper"]["needed"] == ["Curator"]
    assert row.words["paper"]["options"][0]["what"] == "Do nothing."
