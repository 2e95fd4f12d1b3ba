"""Builders for what is made for an object: a crew, and each thing on its way."""

from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

from lifecycle.actions.preparation.facsimiles import FacsimileAsked, ask_for_facsimile
from lifecycle.actions.preparation.fitting import record_fit, sign_fit
from lifecycle.actions.preparation.housing import HousingWanted, specify_housing
from lifecycle.actions.preparation.imaging import ImagingAsked, ask_for_pictures
from lifecycle.actions.preparation.mounts import (
    MountMeasured,
    add_mount_material,
    ask_for_mount,
    measure_mount,
)
from lifecycle.process.stages import Role
from lifecycle.process.words import LightKind
from lifecycle.records.models import Face, MuseumObject, Person, Place, Showing, Vocabulary
from lifecycle.records.models.light import Instrument, InstrumentKind
from lifecycle.records.models.preparation import (
    Board,
    Facsimile,
    FacsimileUse,
    FitCheck,
    FitResult,
    Housing,
    ImagingJob,
    ImagingPurpose,
    Mount,
)
from tests.builders.core import (
    AT,
    DAY,
    kept_by,
    make_exhibition,
    make_face,
    make_museum,
    make_object,
    make_person,
    make_place,
    make_showing,
    make_word,
)
from tests.builders.treatment import HOUR, hand_of, make_material, make_picture


class Workshop:
    """A showing with two faces and everybody who makes something for it."""

    def __init__(self, **thing: Any) -> None:
        make_museum()
        self.marit: Person = make_person(Role.CONSERVATOR, name="Marit Oldacre")
        self.wen: Person = make_person(Role.CURATOR, name="Wen Castellane")
        self.rufus: Person = make_person(Role.MOUNT_MAKER, name="Rufus Tiller")
        self.ada: Person = make_person(Role.PHOTOGRAPHER, name="Ada Kestrel")
        self.sunniva: Person = make_person(Role.EXHIBITION_MANAGER, name="Sunniva Platt")
        self.exhibition = make_exhibition(manager=self.sunniva)
        self.exhibition.curators.add(self.wen)
        self.place: Place = make_place()
        self.thing: MuseumObject = make_object(**thing)
        self.a: Face = make_face(self.thing, label="opening A")
        self.b: Face = make_face(self.thing, label="opening B", order=2)
        self.showing: Showing = make_showing(
            exhibition=self.exhibition, museum_object=self.thing, place=self.place, asked_at=AT
        )

    def by(self, person: Person, role: Role, *, after: int = 0) -> dict[str, Any]:
        return {"by": person, "role": role, "at": AT + timedelta(hours=after)}

    def conservator(self, *, after: int = 0) -> dict[str, Any]:
        return self.by(self.marit, Role.CONSERVATOR, after=after)

    def curator(self, *, after: int = 0) -> dict[str, Any]:
        return self.by(self.wen, Role.CURATOR, after=after)

    def job(self, **values: Any) -> ImagingJob:
        values.setdefault("face", self.b)
        values.setdefault("purpose", ImagingPurpose.FACSIMILE_MASTER)
        values.setdefault("due_on", DAY + timedelta(days=10))
        values.setdefault("needed_because", "The facsimile of opening B.")
        values.setdefault("with_whom", self.ada)
        values.setdefault("for_whom", self.wen)
        return ask_for_pictures(
            **self.conservator(), showing=self.showing, asked=ImagingAsked(**values)
        )

    def picture(self, face: Face | None = None, *, taken_at: datetime = AT + HOUR) -> Any:
        return make_picture(
            face or self.b,
            taken_at=taken_at,
            light=LightKind.DIFFUSE,
            purpose=ImagingPurpose.FACSIMILE_MASTER.value,
        )

    def facsimile(self, **values: Any) -> Facsimile:
        values.setdefault("face", self.b)
        values.setdefault("use", FacsimileUse.SHOWS_OTHER_FACE)
        values.setdefault("public_label", "A facsimile: the book can show one opening at a time.")
        values.setdefault("mark_on_back", "Facsimile made 2026, not the original")
        return ask_for_facsimile(
            **self.curator(), showing=self.showing, asked=FacsimileAsked(**values)
        )

    def mount(self, *faces: Face, measured: bool = True) -> Mount:
        made = ask_for_mount(
            **self.conservator(),
            showing=self.showing,
            kind=make_word(Vocabulary.MOUNT_KIND, "cradle"),
            faces=faces or (self.a,),
            with_whom=self.rufus,
        )
        if not measured:
            return made
        add_mount_material(**self.conservator(), mount=made, material=make_material("mount board"))
        return measure_mount(
            **self.by(self.rufus, Role.MOUNT_MAKER),
            mount=made,
            edition=1,
            measured=MountMeasured(
                measured_at=AT,
                measured_by=self.rufus,
                angle_deg=90,
                removable_alone=True,
                fixing_instruction="Slide in from the front, two strips.",
            ),
        )

    def fit(self, mount: Mount, face: Face | None = None, **values: Any) -> FitCheck:
        shown = face or self.a
        values.setdefault("object_present", True)
        values.setdefault("result", FitResult.FITS)
        values.setdefault("mount_maker", self.rufus)
        values.setdefault("conservator", self.marit)
        values.setdefault("checked_at", AT + HOUR)
        if "photo" not in values:
            values["photo"] = self.picture(shown)
        return record_fit(**self.conservator(after=2), mount=mount, face=shown, **values)

    def sign(self, check: FitCheck, *roles: Role) -> None:
        people = {Role.MOUNT_MAKER: self.rufus, Role.CONSERVATOR: self.marit}
        for role in roles or tuple(people):
            sign_fit(hand=hand_of(people[role], role), at=AT + 3 * HOUR, check=check)

    def wanted(self, **values: Any) -> HousingWanted:
        values.setdefault("kind", make_word(Vocabulary.HOUSING_KIND, "sink-mat"))
        values.setdefault("board", Board.UNBUFFERED)
        return HousingWanted(**values)

    def housing(self, **values: Any) -> Housing:
        wanted = values.pop("wanted", None) or self.wanted()
        return specify_housing(
            **self.conservator(),
            museum_object=self.thing,
            showing=self.showing,
            wanted=wanted,
            **values,
        )


def make_meter(**values: Any) -> Instrument:
    values.setdefault("kind", InstrumentKind.LUX_AND_UV)
    values.setdefault("name", "Meter 1")
    values.setdefault("serial", "L-1")
    values.setdefault("calibrated_on", date(2026, 1, 5))
    values.setdefault("calibration_due", date(2027, 1, 5))
    return Instrument(**values).keep(**kept_by())


LUX = Decimal(45)
