"""A draft with one pictured face, and a person who marks findings on it."""

from datetime import timedelta
from decimal import Decimal
from typing import Any, Final

from lifecycle.actions.condition.findings import Sight, add_finding
from lifecycle.actions.condition.looking import put_face_picture
from lifecycle.actions.condition.scale import Scale, mark_scale
from lifecycle.process.stages import Role
from lifecycle.process.words import FeatureState
from lifecycle.records.models import Person, Picture
from lifecycle.records.models.condition import ConditionReport, Observation, ReportFace
from lifecycle.science.selectors import Mark, ShapeKind, mark_of
from tests.builders.condition import make_picture, picture_bytes, start_draft, term
from tests.builders.core import AT, make_person

#: 500 px long on a picture of 1,000 by 800 px.
LINE: Final = mark_of(ShapeKind.LINE, [(100, 100), (400, 500)], width=1000, height=800)


class Bench:
    """A draft with one pictured face, and the person who writes it."""

    def __init__(self) -> None:
        self.by: Person = make_person(Role.CONSERVATOR)
        self.report: ConditionReport = start_draft(by=self.by)
        self.row: ReportFace = self.report.report_faces.select_related("face", "report").get()
        self.picture: Picture = make_picture(self.row.face, self.by, data=picture_bytes(1000, 800))
        self.said: dict[str, Any] = {"by": self.by, "role": Role.CONSERVATOR, "at": AT}
        self.row = put_face_picture(
            row=self.row, picture=self.picture, nothing_further=True, **self.said
        )

    def record(self, mark: Mark | None = LINE, **values: Any) -> Observation:
        sight = Sight(
            term=term(),
            state=FeatureState.FIRST_RECORD,
            severity=1,
            mark=mark,
            marked_on=values.pop("marked_on", self.picture),
            **values,
        )
        return add_finding(report=self.report, face=self.row.face, sight=sight, **self.said)

    def scale(self, minutes: int = 0, **values: Any) -> Picture:
        values = {"ruler": [(0, 790), (1000, 790)], "mm": Decimal(200), **values}
        said = {**self.said, "at": AT + timedelta(minutes=minutes)}
        return mark_scale(row=self.row, picture=self.picture, scale=Scale(**values), **said)
