"""What the demo's conservators measured: inked areas rated, colour spots laid out and read."""

from collections.abc import Mapping
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

from lifecycle.actions.colour import Measured, SpotLaid, keep_measurement, lay_out_spot
from lifecycle.actions.condition.ink import Rated, rate_ink
from lifecycle.actions.demo.cast import Cast
from lifecycle.process.ink import InkLevel, InkMethod
from lifecycle.records.models import ColourSpot, ConditionReport, Face
from lifecycle.records.models.colour import Geometry, Illuminant, Observer


def rate_the_ink(
    cast: Cast, report: ConditionReport, faces: Mapping[str, Face], at: datetime, *, by: str
) -> None:
    """Rate the inked areas that the fixtures name on these faces."""
    for row in cast.data.ink.get(report.museum_object.object_number, ()):
        if row["face"] in faces:
            rate_ink(
                report=report,
                rated=Rated(
                    face=faces[row["face"]],
                    area=row["area"],
                    zone=row["zone"],
                    level=InkLevel(row["level"]),
                    method=InkMethod(row["method"]),
                    note=row.get("note", ""),
                ),
                by=cast.people[by],
                role=cast.role_of(by),
                at=at,
            )


def read_the_colours(
    cast: Cast, report: ConditionReport, faces: Mapping[str, Face], at: datetime, *, by: str
) -> None:
    """Lay out the spots of these faces, unless they are there, and read each."""
    said: dict[str, Any] = {"by": cast.people[by], "role": cast.role_of(by), "at": at}
    for row in cast.data.colour.get(report.museum_object.object_number, ()):
        face = faces.get(row["face"])
        if face is None:
            continue
        spot = ColourSpot.objects.filter(face=face, what=row["what"]).first()
        if spot is None:
            left, top = (Decimal(part) for part in row["at"])
            picture = report.report_faces.select_related("picture").get(face=face).picture
            laid = SpotLaid(
                face=face,
                what=row["what"],
                left=left,
                top=top,
                template=row["template"],
                picture=picture,
            )
            spot = lay_out_spot(laid=laid, **said)
        measured = Measured(
            spot=spot,
            instrument=cast.instruments["colour"],
            geometry=Geometry.SPHERE_SCE,
            aperture_mm=Decimal(4),
            illuminant=Illuminant.D65,
            observer=Observer.TEN,
            measured_at=at - timedelta(minutes=30),
            readings=[
                (Decimal(light), Decimal(green_red), Decimal(blue_yellow))
                for light, green_red, blue_yellow in row["readings"]
            ],
            stated_repeatability=Decimal("0.1"),
        )
        keep_measurement(measured=measured, **said)
