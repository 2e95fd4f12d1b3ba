"""What is made for a demo object: pictures, facsimile, mount, caption, case, light, route."""

from datetime import datetime, timedelta
from decimal import Decimal

from lifecycle.actions.demo.cast import Cast
from lifecycle.actions.demo.looking import picture_of, word
from lifecycle.actions.pictures import store_document
from lifecycle.actions.preparation.captions import approve_caption, write_caption
from lifecycle.actions.preparation.cases import (
    CaseMade,
    check_route,
    prove_light,
    say_case_ready,
    write_case,
)
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
from lifecycle.actions.preparation.lamps import LampChanged, LampSaid, write_lamp
from lifecycle.actions.preparation.mounts import (
    MountMeasured,
    add_mount_material,
    ask_for_mount,
    measure_mount,
)
from lifecycle.exchange.demo_plans import case_layout
from lifecycle.process.words import LightKind, PlaceKind
from lifecycle.records.models import (
    CaseReadiness,
    Face,
    Picture,
    PicturePurpose,
    Place,
    Showing,
    Vocabulary,
)
from lifecycle.records.models.preparation import (
    FacsimileUse,
    FitResult,
    ImagingPurpose,
    LampKind,
    LampWhere,
    Mount,
    Target,
    UvKnownFrom,
)

MOUNT_OF = {
    "bound-manuscript": "cradle",
    "album": "cradle",
    "instrument": "wall-bracket",
    "textile": "suspended",
    "pastel": "frame",
}


def faces_of(showing: Showing) -> list[Face]:
    return [row.face for row in showing.faces_wanted.filter(struck=False).order_by("order")]


def master_picture(cast: Cast, showing: Showing, face: Face, at: datetime) -> Picture:
    """Ask for, take, deliver and accept the master from which a facsimile is printed."""
    job = ask_for_pictures(
        showing=showing,
        asked=ImagingAsked(
            face=face,
            purpose=ImagingPurpose.FACSIMILE_MASTER,
            due_on=(at + timedelta(days=14)).date(),
            needed_because="The facsimile stands beside the face that is shown.",
            with_whom=cast.people["ada"],
            handler=cast.people["marit"],
        ),
        **cast.acting("wen", at),
    )
    taken = at + timedelta(days=5)
    picture = picture_of(cast, face, taken, LightKind.DIFFUSE, PicturePurpose.FACSIMILE_MASTER)
    deliver_pictures(
        job=job,
        pictures=[picture],
        lit_minutes=Decimal(6),
        lit_lux=1200,
        in_frame=tuple(Target),
        bit_depth=16,
        **cast.acting("ada", taken),
    )
    accept_pictures(job=job, **cast.acting("wen", taken + timedelta(hours=5)))
    return picture


def facsimile(cast: Cast, showing: Showing, face: Face, at: datetime) -> None:
    """The whole chain of one facsimile until it is delivered."""
    picture = master_picture(cast, showing, face, at)
    wen = cast.acting("wen", at + timedelta(days=6))
    made = ask_for_facsimile(
        showing=showing,
        asked=FacsimileAsked(
            face=face,
            use=FacsimileUse.SHOWS_OTHER_FACE,
            public_label="Facsimile of the opening that is not shown; the original rests.",
            mark_on_back=f"Facsimile made {at.year}, not the original",
            print_method="pigment inks",
            paper="cotton paper, 190 g",
            with_whom=cast.people["ada"],
            needed_by=showing.exhibition.opens,
        ),
        **wen,
    )
    name_master(facsimile=made, picture=picture, **cast.acting("ada", at + timedelta(days=7)))
    see_proof(
        facsimile=made, light="case lamps at 50 lx", **cast.acting("wen", at + timedelta(days=12))
    )
    approve_facsimile(facsimile=made, **cast.acting("wen", at + timedelta(days=12)))
    deliver_facsimile(facsimile=made, mark_seen=True, **cast.acting("ada", at + timedelta(days=20)))


def mount(cast: Cast, showing: Showing, face: Face, at: datetime) -> Mount:
    """One mount for one face: measured from the object, fitted with it present, signed by two."""
    kind = MOUNT_OF.get(showing.museum_object.object_type.code, "window-mat")
    made = ask_for_mount(
        showing=showing,
        kind=word(Vocabulary.MOUNT_KIND, kind),
        faces=[face],
        with_whom=cast.people["rufus"],
        needed_by=showing.exhibition.install_from - timedelta(days=21),
        **cast.acting("marit", at),
    )
    measure_mount(
        mount=made,
        edition=made.edition,
        measured=MountMeasured(
            measured_at=at + timedelta(days=2),
            measured_by=cast.people["rufus"],
            angle_deg=face.max_opening_angle,
            contact_points="Padded; carries the weak areas",
            restraint="Two polyester straps clear of the image",
            removable_alone=True,
            fixing_instruction="Set down level. Slide the lower ledge in. Check from the side.",
            goes_back=True,
        ),
        **cast.acting("rufus", at + timedelta(days=3)),
    )
    add_mount_material(
        mount=made,
        material=cast.stock["board"],
        accepted_by=cast.people["marit"],
        **cast.acting("rufus", at + timedelta(days=3)),
    )
    fitted = at + timedelta(days=10)
    check = record_fit(
        mount=made,
        face=face,
        checked_at=fitted,
        object_present=True,
        result=FitResult.FITS,
        mount_maker=cast.people["rufus"],
        conservator=cast.people["marit"],
        photo=picture_of(cast, face, fitted, LightKind.DIFFUSE, PicturePurpose.MOUNT_FIT),
        **cast.acting("rufus", fitted),
    )
    sign_fit(hand=cast.hand("rufus"), at=fitted, check=check)
    sign_fit(hand=cast.hand("marit"), at=fitted, check=check)
    return made


def begin(cast: Cast, showing: Showing, face: Face, at: datetime) -> None:
    """Half-way: the mount and the picture are asked for, and in the hands of those named."""
    ask_for_mount(
        showing=showing,
        kind=word(Vocabulary.MOUNT_KIND, "window-mat"),
        faces=[face],
        with_whom=cast.people["rufus"],
        needed_by=showing.exhibition.install_from - timedelta(days=21),
        **cast.acting("marit", at),
    )
    ask_for_pictures(
        showing=showing,
        asked=ImagingAsked(
            face=face,
            purpose=ImagingPurpose.PUBLICATION,
            due_on=(at + timedelta(days=16)).date(),
            needed_because="The leaflet of the exhibition shows it.",
            with_whom=cast.people["ada"],
            handler=cast.people["marit"],
        ),
        **cast.acting("wen", at),
    )


def caption(cast: Cast, showing: Showing, at: datetime, *, with_facsimile: bool) -> None:
    thing = showing.museum_object
    written = write_caption(
        showing=showing,
        face=None,
        text=f"{thing.title}. {thing.maker}, {thing.date_text}.",
        facsimile_wording="Beside it lies a facsimile of the opening that rests."
        if with_facsimile
        else "",
        **cast.acting("wen", at),
    )
    approve_caption(
        caption=written, edition=written.edition, **cast.acting("wen", at + timedelta(days=1))
    )


def case(cast: Cast, showing: Showing, at: datetime) -> None:
    """The case built, cleaned, cured and proven, once for all that lies in it."""
    place = showing.place
    if place is None:
        raise ValueError(f"{showing} has no place.")
    the_case = place.parent if place.kind == PlaceKind.POSITION and place.parent else place
    known = CaseReadiness.objects.filter(place=the_case, exhibition=showing.exhibition)
    if known.exists():
        return
    day = at.date()
    written = write_case(
        place=the_case,
        exhibition=showing.exhibition,
        edition=0,
        made=CaseMade(
            construction_done_on=day - timedelta(days=26),
            construction_done_by="Museum workshop",
            cleaned_on=day - timedelta(days=2),
            cleaned_by="Bram Oduya",
            cure_until=day - timedelta(days=4),
            buffer_kind="silica gel cassette",
            buffer_mass_kg=Decimal("2.5"),
            buffer_target_rh=Decimal(50),
            buffer_conditioned_on=day - timedelta(days=6),
            test_logger="TH-0812",
            test_from=at - timedelta(days=2),
            test_to=at - timedelta(hours=3),
            test_result="48 to 51 % RH, 19 to 20 °C over two days",
            lamps="The transformer stands in the plinth, behind the lower door.",
            captions_clear=True,
            layout=store_document(
                data=case_layout(the_case.name, Place.objects.filter(parent=the_case).count()),
                name=f"layout-{the_case.name}.png",
                title=f"Layout of {the_case.name}",
                **cast.acting("sunniva", at),
            ),
        ),
        **cast.acting("sunniva", at),
    )
    lamps(cast, the_case, at - timedelta(days=5))
    say_case_ready(case=written, **cast.acting("sunniva", at))


def lamps(cast: Cast, the_case: Place, at: datetime) -> None:
    """Two lamps of the case, hung and measured before its climate run; once for each case."""
    if the_case.lamps.exists():
        return
    for name, position, level in (("L1", "left", 40), ("L2", "right", 35)):
        write_lamp(
            place=the_case,
            said=LampSaid(
                name=name,
                where=LampWhere.PARTED,
                position=f"{position}, in the light box above the lid",
                kind=LampKind.LED,
                type_text="spot, 3,000 K, 24°",
                power_w=Decimal("4.5"),
                filter="acrylic sheet of the light box",
                uv=Decimal(6),
                uv_known_from=UvKnownFrom.MEASURED,
                distance_mm=650,
                dim_percent=level,
                aim=f"the {position} half of the case",
            ),
            changed=LampChanged(at=at, by=cast.people["bram"], really=False),
            **cast.acting("marit", at),
        )


def light_proof(cast: Cast, showing: Showing, at: datetime, lux: int) -> None:
    if showing.place is None:
        raise ValueError(f"{showing} has no position.")
    prove_light(
        exhibition=showing.exhibition,
        place=showing.place,
        point=showing.place.reading_points.first(),
        lux=Decimal(lux),
        uv=Decimal(8),
        instrument=cast.instruments["luxmeter"],
        with_dummy=True,
        lamp_state="Show state, room lights as in opening hours",
        observed_at=at,
        **cast.acting("marit", at),
    )


def route(cast: Cast, showing: Showing, at: datetime) -> None:
    if showing.place is None:
        raise ValueError(f"{showing} has no position.")
    check_route(
        showing=showing,
        to_place=showing.place,
        people=2,
        equipment="Tray or upright trolley, door wedge",
        doors_lifts="North corridor, lift 2 (door 110 cm), gallery double door",
        hazards_read=True,
        observed_at=at,
        **cast.acting("bram", at),
    )
