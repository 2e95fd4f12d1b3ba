"""A laboratory in the middle of a consented treatment."""

from decimal import Decimal
from typing import Any

import pytest
from django.db.models.query import QuerySet

from lifecycle.actions.treatment import (
    MaterialDraft,
    StepDraft,
    log_step,
)
from lifecycle.process.stages import Role, Stage
from lifecycle.records.models import (
    MuseumObject,
    Person,
    Showing,
)
from lifecycle.records.models.treatment import (
    Material,
    MaterialKind,
    Proposal,
    TreatmentStep,
)
from tests.builders.core import (
    AT,
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
    make_material,
    make_sent,
    put_at,
    step_word,
)


def kinds_held(monkeypatch: pytest.MonkeyPatch) -> list[type]:
    """The kinds of rows locked from now on, in their order; SQLite alone would never tell."""
    held: list[type] = []
    fetch = QuerySet._fetch_all

    def fetching(rows: Any) -> None:
        if rows.query.select_for_update and rows._result_cache is None:
            held.append(rows.model)
        fetch(rows)

    monkeypatch.setattr(QuerySet, "_fetch_all", fetching)
    return held


class Lab:
    """A consented proposal with mending, washing and paste at 10 %; treatment has begun."""

    def __init__(self, **thing: Any) -> None:
        make_museum()
        self.marit: Person = make_person(Role.CONSERVATOR, name="Marit Oldacre")
        self.wen: Person = make_person(Role.CURATOR, name="Wen Castellane")
        exhibition = make_exhibition()
        exhibition.curators.add(self.wen)
        self.thing: MuseumObject = make_object(**thing)
        self.face = make_face(self.thing)
        self.showing: Showing = make_showing(exhibition=exhibition, museum_object=self.thing)
        self.paste: Material = make_material(kind=MaterialKind.TISSUE, name="tissue")
        self.glue: Material = make_material("starch paste")
        version = make_sent(
            self.marit,
            showing=self.showing,
            steps=(StepDraft(step=step_word("mend")), StepDraft(step=step_word("wash"))),
            materials=(
                MaterialDraft(material=self.paste),
                MaterialDraft(material=self.glue, concentration=Decimal(10)),
            ),
        )
        self.proposal: Proposal = version.proposal
        agree(self.wen, version, at=AT)
        put_at(self.showing, Stage.TREATMENT)

    def log(
        self, code: str = "mend", *, at: Any = AT + HOUR, under: bool = True, **values: Any
    ) -> TreatmentStep:
        return log_step(
            by=self.marit,
            role=Role.CONSERVATOR,
            at=max(at, AT + HOUR),
            museum_object=self.thing,
            proposal=self.proposal if under else None,
            showing=None if under else self.showing,
            done=done(step_word(code), at=at, **values),
        )
