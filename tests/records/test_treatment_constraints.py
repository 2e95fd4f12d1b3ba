"""What the tables of findings in treatment and call-backs refuse by themselves."""

from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.db import IntegrityError, models, transaction

from lifecycle.actions.treatment import answer_asked_again, call_back_all
from lifecycle.process.finding_effects import AskedKind
from lifecycle.process.stages import Role
from lifecycle.records.models import AskedAgain, StillFits
from tests.actions.treatment.test_findings import Bench, fugitive
from tests.builders.core import AT
from tests.builders.treatment import HOUR

pytestmark = pytest.mark.django_db

BAD: dict[str, tuple[str, dict[str, Any]]] = {
    "treatment_finding_says_what": ("finding", {"what": ""}),
    "treatment_finding_entered_after": ("finding", {"observed_at": AT + 9 * HOUR}),
    "treatment_finding_zone_known": ("finding", {"zone": "D9"}),
    "asked_again_kind_known": ("asked", {"kind": "caption"}),
    "asked_again_role_known": ("asked", {"role": "friend"}),
    "asked_again_says_why": ("asked", {"because": ""}),
    "asked_again_answer_known": ("answer", {"answer": "perhaps"}),
    "asked_again_answer_role_known": ("answer", {"role": "friend"}),
    "asked_again_answer_says_why": ("answer", {"why": ""}),
    "call_back_says_why": ("call_back", {"reason": ""}),
    "call_back_end_says_why": ("call_back", {"ended_at": AT}),
}


def insert(row: models.Model, **values: Any) -> None:
    copy = type(row)._default_manager.get(pk=row.pk)
    copy.pk = None
    copy.uid = uuid4()  # type: ignore[attr-defined]
    for name, value in values.items():
        setattr(copy, name, value)
    with transaction.atomic():
        copy.save(force_insert=True)


def test_each_check_of_these_tables_refuses_what_it_is_there_for() -> None:
    bench = Bench()
    bench.log("mend", material=bench.glue)
    finding = bench.find(component_label="slip", class_now=fugitive())
    asked = AskedAgain.objects.get(kind=AskedKind.ACCOUNT)
    said: dict[str, Any] = {"by": bench.marit, "role": Role.CONSERVATOR, "at": AT + 3 * HOUR}
    (call_back,) = call_back_all(
        materials=[bench.glue],
        objects=[bench.thing],
        due_on=AT.date() + timedelta(days=9),
        reason="Look.",
        **said,
    )
    rows: dict[str, models.Model] = {
        "finding": finding,
        "asked": asked,
        "answer": answer_asked_again(
            asked=asked, answer=StillFits.STILL_FITS, why="Looked.", **said
        ),
        "call_back": call_back,
    }
    for constraint, (name, values) in BAD.items():
        with pytest.raises(IntegrityError, match=constraint):
            insert(rows[name], **values)
    by_person = AskedAgain.objects.get(kind=AskedKind.CONSENT)
    for twice in (asked, by_person):
        with pytest.raises(IntegrityError):
            insert(twice)
