"""Everything that is made before an object is shown."""

from datetime import timedelta
from decimal import Decimal

from lifecycle.actions.objects import HazardDetails, note_hazard
from lifecycle.actions.preparation.captions import approve_caption, write_caption
from lifecycle.actions.preparation.cases import CaseMade, check_route, prove_light, write_case
from lifecycle.actions.preparation.facsimiles import (
    FacsimileAsked,
    approve_facsimile,
    ask_for_facsimile,
    deliver_facsimile,
    name_master,
    see_proof,
)
from lifecycle.actions.preparation.fitting import record_fit, sign_fit
from lifecycle.actions.preparation.imaging import (
    ImagingAsked,
    accept_pictures,
    ask_for_pictures,
    deliver_pictures,
)
from lifecycle.actions.preparation.mounts import (
    MountMeasured,
    add_mount_material,
    ask_for_mount,
    measure_mount,
)
from lifecycle.process.words import (
    Hazard,
    HazardEvidence,
    LightKind,
)
from lifecycle.records.models import (
    Face,
    Picture,
    Vocabulary,
)
from lifecycle.records.models.preparation import FacsimileUse, FitResult, ImagingPurpose, Target
from tests.builders.core import make_word
from tests.builders.display import hand, make_meter
from tests.builders.treatment import make_material, make_picture
from tests.builders.trip.base import R, Walker


class Preparing(Walker):
    """Facsimile, mount, caption, case, light, route, hazards."""

    def copy_faces(self) -> None:
        """The whole chain of a facsimile for every face of the plan."""
        for face in self.faces:
            made = ask_for_facsimile(
                **self.curator,
                showing=self.row(),
                asked=FacsimileAsked(
                    face=face,
                    use=FacsimileUse.SHOWS_OTHER_FACE,
                    public_label="A facsimile: it shows one face at a time.",
                    mark_on_back="Facsimile made 2026, not the original",
                    with_whom=self.museum.printer,
                ),
            )
            printer = self.museum.printer
            master = self.master_of(face)
            name_master(**self.acts(printer, R.PHOTOGRAPHER), facsimile=made, picture=master)
            see_proof(**self.curator, facsimile=made, light="case lamps at 50 lx")
            approve_facsimile(**self.curator, facsimile=made)
            deliver_facsimile(**self.acts(printer, R.PHOTOGRAPHER), facsimile=made, mark_seen=True)

    def master_of(self, face: Face) -> Picture:
        """A picture job asked for, delivered and accepted."""
        job = ask_for_pictures(
            **self.curator,
            showing=self.row(),
            asked=ImagingAsked(
                face=face,
                purpose=ImagingPurpose.FACSIMILE_MASTER,
                due_on=(self.at + timedelta(days=10)).date(),
                needed_because="The facsimile.",
                with_whom=self.museum.printer,
                handler=self.crew.conservator,
            ),
        )
        said = self.acts(self.museum.printer, R.PHOTOGRAPHER)
        picture = make_picture(
            face, taken_at=said["at"], light=LightKind.DIFFUSE, purpose="facsimile_master"
        )
        deliver_pictures(
            **said,
            job=job,
            pictures=[picture],
            lit_minutes=Decimal(1),
            lit_lux=500,
            in_frame=tuple(Target),
            bit_depth=16,
        )
        accept_pictures(**self.curator, job=job)
        return picture

    def mount(self) -> None:
        for face in self.faces:
            made = ask_for_mount(
                **self.conservator,
                showing=self.row(),
                kind=make_word(Vocabulary.MOUNT_KIND, "window-mat"),
                faces=[face],
                with_whom=self.museum.mounter,
            )
            add_mount_material(
                **self.conservator, mount=made, material=make_material("mount board")
            )
            said = self.acts(self.museum.mounter, R.MOUNT_MAKER)
            measure_mount(
                **said,
                mount=made,
                edition=1,
                measured=MountMeasured(
                    measured_at=said["at"],
                    measured_by=self.museum.mounter,
                    angle_deg=0,
                    removable_alone=True,
                    fixing_instruction="Slide in from the front.",
                ),
            )
            photo = self.picture(face)
            said = self.conservator
            check = record_fit(
                **said,
                mount=made,
                face=face,
                checked_at=said["at"],
                object_present=True,
                result=FitResult.FITS,
                mount_maker=self.museum.mounter,
                conservator=self.crew.conservator,
                photo=photo,
            )
            for person, role in (
                (self.museum.mounter, R.MOUNT_MAKER),
                (self.crew.conservator, R.CONSERVATOR),
            ):
                sign_fit(hand=hand(person, role), at=self.tick(), check=check)

    def caption(self) -> None:
        written = write_caption(
            **self.curator,
            showing=self.row(),
            face=None,
            text="A squall, seen from the shore.",
            facsimile_wording="Beside it a facsimile." if len(self.faces) > 1 else "",
        )
        approve_caption(**self.curator, caption=written, edition=written.edition)

    def build_case(self) -> None:
        said = self.acts(self.museum.manager, R.EXHIBITION_MANAGER)
        day = said["at"].date()
        write_case(
            **said,
            place=self.museum.case,
            exhibition=self.exhibition,
            edition=0,
            made=CaseMade(
                construction_done_on=day - timedelta(days=26),
                construction_done_by="Workshop",
                cleaned_on=day - timedelta(days=2),
                cleaned_by="Bram Oduya",
                cure_until=day - timedelta(days=4),
                test_logger="TH-1",
                test_from=said["at"] - timedelta(days=2),
                test_to=said["at"] - timedelta(hours=3),
                test_result="48 to 51 % RH",
                lamps="Two case lamps, dimmed",
                captions_clear=True,
            ),
        )

    def prove(self) -> None:
        said = self.conservator
        prove_light(
            **said,
            exhibition=self.exhibition,
            place=self.place,
            point=self.place.reading_points.first(),
            lux=Decimal(44),
            uv=Decimal(3),
            instrument=make_meter(),
            with_dummy=True,
            lamp_state="Show state",
            observed_at=said["at"],
        )

    def walk_the_route(self) -> None:
        said = self.registrar
        check_route(
            **said,
            showing=self.row(),
            to_place=self.place,
            people=2,
            equipment="Tray, door wedge",
            doors_lifts="North corridor, lift 2",
            hazards_read=True,
            observed_at=said["at"],
        )

    def hazards(self) -> None:
        note_hazard(
            **self.conservator,
            museum_object=self.thing,
            details=HazardDetails(hazard=Hazard.NONE_KNOWN, evidence=HazardEvidence.NONE_FOUND),
        )
