"""Treatment in the browser: write, send, decide, log, report; who may see and do what."""

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from lifecycle.actions.treatment import next_version
from lifecycle.actions.treatment.sending import WANTED
from lifecycle.actions.whole_reports import ALWAYS_SAID
from lifecycle.process.stages import Role, Stage
from lifecycle.process.words import Hazard, HazardEvidence
from lifecycle.records.models import ObjectHazard, Person, Showing, Vocabulary
from lifecycle.records.models.treatment import (
    Consent,
    Decision,
    Material,
    Proposal,
    ProposalVersion,
    StandingConsent,
    TreatmentReport,
    TreatmentStep,
)
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
from tests.builders.treatment import (
    PASSWORD,
    agree,
    make_material,
    make_proposal,
    make_sent,
    put_at,
    step_word,
)
from tests.pages.signing_in import visitor

pytestmark = pytest.mark.django_db
LIMITS = "no humidification of ff. 88v-89r"


class Scene:
    def __init__(self) -> None:
        make_museum()
        self.marit: Person = make_person(Role.CONSERVATOR, name="Marit Oldacre")
        self.wen: Person = make_person(Role.CURATOR, name="Wen Castellane")
        self.exhibition = make_exhibition()
        self.exhibition.curators.add(self.wen)
        thing = make_object()
        self.face = make_face(thing, label="ff. 88v-89r")
        self.showing: Showing = make_showing(exhibition=self.exhibition, museum_object=thing)

    def sent(self) -> ProposalVersion:
        return make_sent(self.marit, showing=self.showing)

    def client(self, person: Person) -> Client:
        return visitor(person=person)


@pytest.fixture
def scene() -> Scene:
    return Scene()


def text(response: Any) -> str:
    return str(response.content.decode())


def whole_form(version: ProposalVersion, **values: Any) -> dict[str, Any]:
    """What the browser sends: words, one option beside 'do nothing', one step, one material."""
    assert version.based_on is not None
    said: dict[str, Any] = {
        "version": version.edition,
        "based_on": version.based_on.uid,
        "aim": "stabilise",
        "aim_text": "Make it safe to open.",
        "why": "It can be taken off again.",
        "removed_matter": "none",
        "stop_rules": "Any movement of ink.",
        "hours_est": "6",
        "finish_by": "2026-07-01",
        "options-TOTAL_FORMS": "2",
        "options-INITIAL_FORMS": "1",
        "options-0-do_nothing": "True",
        "options-0-what": "Do nothing.",
        "options-0-undo": "nothing_done",
        "options-1-what": "Mend locally.",
        "options-1-undo": "can_be_undone",
        "options-1-chosen": "on",
        "steps-TOTAL_FORMS": "1",
        "steps-INITIAL_FORMS": "0",
        "steps-0-step": step_word("mend").uid,
        "materials-TOTAL_FORMS": "1",
        "materials-INITIAL_FORMS": "0",
        "materials-0-material": make_material().uid,
        "materials-0-concentration": "10",
    }
    return said | values


def test_a_conservator_proposes_writes_and_sends(scene: Scene) -> None:
    client = scene.client(scene.marit)
    started: Any = client.post(reverse("proposal-start", args=[scene.showing.uid]), {})
    proposal = Proposal.objects.get()
    assert started.url == reverse("proposal-write", args=[proposal.uid])
    other = make_proposal(scene.marit, showing=make_showing(museum_object=make_object()))
    version = proposal.versions.get()
    version.based_on = None
    page = client.get(started.url)
    assert "Do nothing." in text(page)
    report = other.versions.get().based_on
    assert report is not None
    bad = client.post(started.url, whole_form(other.versions.get()))
    assert "Select a valid choice" in text(bad)
    assert "Any movement of ink." in text(bad)


def test_the_written_version_is_saved_and_sent_with_the_password(scene: Scene) -> None:
    client = scene.client(scene.marit)
    proposal = make_proposal(scene.marit, showing=scene.showing)
    version = proposal.versions.get()
    saved = client.post(
        reverse("proposal-write", args=[proposal.uid]), whole_form(version, why="New reason.")
    )
    assert saved.status_code == 302
    assert proposal.versions.get().why == "New reason."
    address = reverse("proposal-send", args=[version.uid])
    wrong = client.post(address, {"password": "not mine"})
    assert "This is not the password" in text(wrong)
    assert not proposal.versions.get().signed
    client.post(address, {"password": PASSWORD})
    assert proposal.versions.get().signed


def test_a_refused_draft_keeps_every_typed_value(scene: Scene) -> None:
    client = scene.client(scene.marit)
    proposal = make_proposal(scene.marit, showing=scene.showing)
    version = proposal.versions.get()
    answer = client.post(
        reverse("proposal-write", args=[proposal.uid]),
        whole_form(version, hours_est="a lot", why="<b>Because</b> it is so."),
    )
    assert answer.status_code == 200
    assert "Enter a number" in text(answer)
    assert "&lt;b&gt;Because&lt;/b&gt; it is so." in text(answer)
    assert "Mend locally." in text(answer)
    assert proposal.versions.get().edition == version.edition


def test_the_second_of_two_people_gets_a_409_page_with_both_texts(scene: Scene) -> None:
    proposal = make_proposal(scene.marit, showing=scene.showing)
    version = proposal.versions.get()
    address = reverse("proposal-write", args=[proposal.uid])
    piers = make_person(Role.CONSERVATOR, name="Piers Hallam")
    scene.client(scene.marit).post(address, whole_form(version, why="Marit’s reason."))
    answer = scene.client(piers).post(address, whole_form(version, why="Piers’s reason."))
    assert answer.status_code == 409
    assert "Marit’s reason." in text(answer)
    assert "Piers’s reason." in text(answer)
    assert "Marit Oldacre" in text(answer)


def test_the_curator_agrees_within_limits_and_the_bench_shows_them_on_top(
    scene: Scene,
) -> None:
    version = scene.sent()
    curator = scene.client(scene.wen)
    address = reverse("consent", args=[version.uid])
    assert "counts for this version only" in text(curator.get(address))
    missing = curator.post(
        address, {"decision": Decision.AGREE_WITHIN_LIMITS, "password": PASSWORD}
    )
    assert "Say which limits" in text(missing)
    key = f"{step_word('mend').uid}:{scene.face.uid}"
    curator.post(
        address,
        {
            "decision": Decision.AGREE_WITHIN_LIMITS,
            "limits": LIMITS,
            "left_out": [key],
            "password": PASSWORD,
        },
    )
    assert Consent.objects.get().exclusions.get().face == scene.face
    bench = text(scene.client(scene.marit).get(reverse("bench", args=[version.proposal.uid])))
    assert f"Wen Castellane: {LIMITS}" in bench
    assert bench.index(LIMITS) < bench.index('name="result"')


def step_form(**values: Any) -> dict[str, Any]:
    said = {
        "step": step_word("mend").uid,
        "observed_at": "2026-06-02T11:00",
        "result": "Holds.",
        "hours": "0.5",
        "light": "diffuse",
    }
    return said | values


def test_the_bench_refuses_without_consent_and_keeps_what_was_typed(scene: Scene) -> None:
    version = scene.sent()
    put_at(scene.showing, Stage.TREATMENT)
    client = scene.client(scene.marit)
    address = reverse("bench", args=[version.proposal.uid])
    refused = client.post(address, step_form())
    assert "no consent for v1" in text(refused)
    assert "Holds." in text(refused)
    assert not TreatmentStep.objects.exists()
    agree(scene.wen, version, at=AT)
    logged = client.post(address, step_form())
    assert logged.status_code == 302
    assert TreatmentStep.objects.get().version == version
    assert "Holds." in text(client.get(address))


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"minutes": "minus one"}, "Enter a number"),
        ({"minutes": "-1"}, "below nothing"),
        ({"step": "0a000000-0000-4000-8000-000000000000"}, "Select a valid choice"),
        ({"material": "batch that does not exist"}, "is not a valid"),
        ({"observed_at": "yesterday"}, "This is no day and time"),
        ({"result": ""}, "This field is required"),
    ],
)
def test_bad_input_at_the_bench_is_said_at_its_field(
    scene: Scene, values: dict[str, Any], words: str
) -> None:
    version = scene.sent()
    agree(scene.wen, version, at=AT)
    put_at(scene.showing, Stage.TREATMENT)
    answer = scene.client(scene.marit).post(
        reverse("bench", args=[version.proposal.uid]), step_form(**values)
    )
    assert answer.status_code == 200
    assert words in text(answer)
    assert not TreatmentStep.objects.exists()


def test_cautions_of_hazards_and_solvents_stand_on_the_bench(scene: Scene) -> None:
    thing = scene.showing.museum_object
    ObjectHazard(
        museum_object=thing, hazard=Hazard.ARSENIC, evidence=HazardEvidence.SUSPECTED
    ).keep(**kept_by())
    solvent = make_material("ethanol", kind="solvent", safety_note="Flammable; fumes.")
    version = scene.sent()
    proposal = version.proposal
    fresh = next_version(by=scene.marit, role=Role.CONSERVATOR, at=AT, proposal=proposal)
    client = scene.client(scene.marit)
    client.post(
        reverse("proposal-write", args=[proposal.uid]),
        whole_form(fresh, **{"materials-0-material": solvent.uid}),
    )
    client.post(reverse("proposal-send", args=[fresh.uid]), {"password": PASSWORD})
    page = text(client.get(reverse("bench", args=[proposal.uid])))
    assert "Arsenic" in page
    assert "fume extraction on" in page
    assert "Flammable; fumes." in page


def test_a_minor_step_is_logged_under_its_standing_consent(scene: Scene) -> None:
    head = make_person(Role.HEAD_OF_COLLECTIONS)
    single = make_word(Vocabulary.OBJECT_TYPE, "single-sheet")
    marit = scene.client(scene.marit)
    marit.post(
        reverse("standing-new"),
        {
            "object_type": single.uid,
            "steps": [step_word("dust").uid],
            "limits": "Soft brush only.",
            "from_on": "2026-01-01",
            "until_on": "2099-01-01",
        },
    )
    standing = StandingConsent.objects.get()
    address = reverse("standing-agree", args=[standing.uid])
    assert marit.post(address).status_code == 403
    scene.client(scene.wen).post(address)
    scene.client(head).post(address)
    assert "in force" in text(marit.get(reverse("standing-consents")))
    bench = reverse("bench-object", args=[scene.showing.museum_object.uid])
    assert "Soft brush only." in text(marit.get(bench))
    refused = marit.post(bench, step_form())
    assert "No standing consent covers mend" in text(refused)


def test_the_report_is_begun_from_the_log_and_says_what_is_missing(scene: Scene) -> None:
    version = scene.sent()
    agree(scene.wen, version, at=AT)
    put_at(scene.showing, Stage.TREATMENT)
    client = scene.client(scene.marit)
    client.post(reverse("bench", args=[version.proposal.uid]), step_form())
    address = reverse("treatment-report", args=[version.proposal.uid])
    client.post(address, {})
    report = TreatmentReport.objects.get()
    page = text(client.get(address))
    assert "Not yet ready to be signed" in page
    assert "choose the pictures before and after" in page
    assert page.count("(wanted before it is signed)") == len(ALWAYS_SAID) + 1
    refused = client.post(
        reverse("treatment-report-sign", args=[report.uid]), {"password": PASSWORD}
    )
    assert "Name the signed check after treatment" in text(refused)
    assert not TreatmentReport.objects.get().signed


def test_a_material_shows_every_object_it_touched(scene: Scene) -> None:
    version = scene.sent()
    agree(scene.wen, version, at=AT)
    put_at(scene.showing, Stage.TREATMENT)
    paste = Material.objects.get(name="wheat starch paste")
    client = scene.client(scene.marit)
    client.post(reverse("bench", args=[version.proposal.uid]), step_form(material=paste.uid))
    page = text(client.get(reverse("material", args=[paste.uid])))
    assert scene.showing.museum_object.object_number in page
    twice = client.post(
        reverse("material-new"),
        {
            "name": paste.name,
            "kind": "adhesive",
            "grade": paste.grade,
            "batch": paste.batch,
            "test_state": "to_test",
        },
    )
    assert "is on record already" in text(twice)


SEE = {Role.CONSERVATOR, Role.CURATOR, Role.REGISTRAR, Role.HEAD_OF_COLLECTIONS, Role.STEWARD}


@pytest.mark.parametrize("role", [r for r in Role if r not in (Role.COURIER, Role.LENDER)])
def test_who_may_see_and_who_may_work_on_a_proposal(scene: Scene, role: Role) -> None:
    """The cells of the rights table: see, propose and log, consent."""
    version = scene.sent()
    client = visitor(role)
    sees = role in SEE | {Role.EXHIBITION_MANAGER}
    treats = role is Role.CONSERVATOR
    consents = role is Role.HEAD_OF_COLLECTIONS
    wanted = {
        reverse("proposal", args=[version.proposal.uid]): sees,
        reverse("bench", args=[version.proposal.uid]): treats,
        reverse("proposal-start", args=[scene.showing.uid]): treats,
        reverse("proposal-send", args=[version.uid]): treats,
        reverse("consent", args=[version.uid]): consents,
    }
    got = {address: client.get(address).status_code for address in wanted}
    assert got == {address: 200 if may else 403 for address, may in wanted.items()}


def test_a_forged_address_is_nobodys_proposal(scene: Scene) -> None:
    client = scene.client(scene.marit)
    nowhere = "0a000000-0000-4000-8000-000000000000"
    for name in ("proposal", "bench", "consent", "treatment-report", "deviation", "material"):
        assert client.get(reverse(name, args=[nowhere])).status_code == 404


def test_the_curator_decides_on_a_deviation(scene: Scene) -> None:
    version = scene.sent()
    agree(scene.wen, version, at=AT)
    put_at(scene.showing, Stage.TREATMENT)
    marit = scene.client(scene.marit)
    marit.post(
        reverse("bench", args=[version.proposal.uid]),
        step_form(deviation="on", deviation_why="The tear was thicker."),
    )
    step = TreatmentStep.objects.get()
    assert "The clock stands still" in text(
        marit.get(reverse("proposal", args=[version.proposal.uid]))
    )
    scene.client(scene.wen).post(
        reverse("deviation", args=[step.uid]), {"decision": "agree", "password": PASSWORD}
    )
    assert step.decisions.get().person == scene.wen


def test_the_form_of_a_draft_names_what_is_wanted_before_it_is_sent(scene: Scene) -> None:
    proposal = make_proposal(scene.marit, showing=scene.showing)
    page = text(scene.client(scene.marit).get(reverse("proposal-write", args=[proposal.uid])))
    assert page.count("(wanted before it is sent)") == len(WANTED)
    aim, options = page.split('id="id_aim"')[0], page.split("<h2>Options</h2>")[1]
    assert aim.rstrip().split("<label")[-1].count("(wanted before it is sent)") == 1
    assert "(may stay empty)" not in options
