"""Changed proposal, old consent; emergency (invented setting)."""

from datetime import timedelta

import pytest
from django.db import DatabaseError, transaction

from lifecycle.actions.refusals import Refused
from lifecycle.actions.treatment import (
    MaterialDraft,
    StepDraft,
    log_step,
    next_version,
    send_version,
    write_version,
)
from lifecycle.process.stages import Role, Stage
from lifecycle.process.words import Hazard, HazardEvidence
from lifecycle.queries.treatment import proposal_facts_of
from lifecycle.queries.treatment.consenting import clock_at
from lifecycle.records.models import MuseumObject, ObjectHazard, Person, Showing
from lifecycle.records.models.treatment import Material, ProposalVersion, TreatmentStep
from lifecycle.records.models.work import Message
from tests.builders.core import (
    AT,
    kept_by,
    make_exhibition,
    make_face,
    make_museum,
    make_object,
    make_person,
    make_showing,
)
from tests.builders.treatment import (
    HOUR,
    agree,
    done,
    draft,
    hand_of,
    make_material,
    make_sent,
    put_at,
    step_word,
)


class Changed:
    """v2 consented with paste; v3 sent, adding consolidation with a new adhesive."""

    def __init__(self) -> None:
        make_museum()
        self.marit: Person = make_person(Role.CONSERVATOR, name="Marit Oldacre")
        self.wen: Person = make_person(Role.CURATOR, name="Wen Castellane")
        exhibition = make_exhibition()
        exhibition.curators.add(self.wen)
        self.sheet: MuseumObject = make_object(object_number="HCM.1922.7.5", title="Plate 5")
        self.face = make_face(self.sheet, label="plate 5")
        self.showing: Showing = make_showing(exhibition=exhibition, museum_object=self.sheet)
        self.paste: Material = make_material("wheat starch paste")
        self.gelatine: Material = make_material("gelatine", grade="photographic")
        mending = (StepDraft(step=step_word("mend")), StepDraft(step=step_word("consolidate")))
        v1 = make_sent(
            self.marit,
            showing=self.showing,
            steps=mending,
            materials=(MaterialDraft(material=self.paste),),
        )
        self.v2 = self.further(v1, (self.paste,), after=1)
        agree(self.wen, self.v2, at=AT + 2 * HOUR)
        self.v3 = self.further(self.v2, (self.paste, self.gelatine), after=3)
        put_at(self.showing, Stage.TREATMENT)

    def further(
        self, last: ProposalVersion, materials: tuple[Material, ...], *, after: int
    ) -> ProposalVersion:
        at = AT + timedelta(hours=after)
        version = next_version(by=self.marit, role=Role.CONSERVATOR, at=at, proposal=last.proposal)
        steps = (StepDraft(step=step_word("mend")), StepDraft(step=step_word("consolidate")))
        write_version(
            by=self.marit,
            role=Role.CONSERVATOR,
            at=at,
            version=version,
            edition=1,
            draft=draft(
                based_on=last.based_on,
                steps=steps,
                materials=tuple(MaterialDraft(material=m) for m in materials),
            ),
        )
        return send_version(hand=hand_of(self.marit, Role.CONSERVATOR), at=at, version=version)

    def log(self, code: str, material: Material | None, **values: object) -> TreatmentStep:
        at = AT + timedelta(hours=5)
        return log_step(
            by=self.marit,
            role=Role.CONSERVATOR,
            at=at,
            museum_object=self.sheet,
            proposal=self.v3.proposal,
            done=done(step_word(code), at=at, material=material, **values),
        )


@pytest.fixture
def changed(db: None) -> Changed:
    return Changed()


def test_v3_is_not_consented_because_v2_is(changed: Changed) -> None:
    (facts,) = proposal_facts_of([changed.showing], clock_at(AT + 6 * HOUR))[changed.showing.pk]
    assert facts.version == 3
    assert not facts.consented


def test_steps_that_only_v3_covers_are_blocked(changed: Changed) -> None:
    with pytest.raises(Refused, match="no consent for v3"):
        changed.log("consolidate", changed.gelatine)


def test_steps_inside_v2_may_go_on(changed: Changed) -> None:
    assert changed.log("mend", changed.paste).version == changed.v2
    assert changed.log("consolidate", changed.paste).version == changed.v2


def test_once_v3_is_agreed_it_covers_the_new_adhesive_and_v2_no_longer_serves(
    changed: Changed,
) -> None:
    agree(changed.wen, changed.v3, at=AT + 4 * HOUR)
    assert changed.log("consolidate", changed.gelatine).version == changed.v3
    assert changed.log("mend", changed.paste).version == changed.v3


def test_an_emergency_is_allowed_with_its_reason_and_wen_is_told_the_same_day(
    changed: Changed,
) -> None:
    flake = MuseumObject.objects.get(object_number="HCM.1922.7.5")
    ObjectHazard(museum_object=flake, hazard=Hazard.ARSENIC, evidence=HazardEvidence.TESTED).keep(
        **kept_by()
    )
    with pytest.raises(Refused, match="could not wait"):
        changed.log("consolidate", changed.gelatine, emergency=True)
    step = changed.log(
        "consolidate",
        changed.gelatine,
        emergency=True,
        emergency_reason="A flake lifts on plate 5.",
        face=changed.face,
    )
    assert step.version is None
    message = Message.objects.get(person=changed.wen)
    assert message.due_at == step.entered_at
    assert "HCM.1922.7.5" in message.subject
    assert "A flake lifts on plate 5." in message.body
    assert "arsenic" in message.body.lower()
    where = step.showing or flake
    assert str(where.uid) in message.body


def test_the_record_shows_the_emergency_for_ever(changed: Changed) -> None:
    step = changed.log(
        "consolidate", None, emergency=True, emergency_reason="A flake lifts on plate 5."
    )
    with pytest.raises(TypeError, match="written once"):
        TreatmentStep.objects.filter(pk=step.pk).update(emergency=False)
    with pytest.raises(TypeError, match="never deleted"):
        step.delete()
    step.emergency = False
    with pytest.raises(DatabaseError), transaction.atomic():
        step.save()
    assert TreatmentStep.objects.get(pk=step.pk).emergency
