"""A demo object comes down: part A at the case, part B at the bench, housing specified."""

from datetime import datetime, timedelta
from decimal import Decimal

from lifecycle.actions.condition.deinstall import record_as_found, record_bench_check
from lifecycle.actions.condition.head import Conclusions, save_conclusions
from lifecycle.actions.condition.sign import countersign_report, sign_report
from lifecycle.actions.demo.carrying import carry
from lifecycle.actions.demo.cast import Cast
from lifecycle.actions.demo.hanging import UV, position_of
from lifecycle.actions.demo.looking import answer_all, picture_of, sign_whole, start, word
from lifecycle.actions.demo.preparing import faces_of
from lifecycle.actions.display.going_home import send_home
from lifecycle.actions.display.reading import MeterSays
from lifecycle.actions.display.taking_down import Found, take_down
from lifecycle.actions.moves import make_move
from lifecycle.actions.preparation.housing import (
    HousingWanted,
    board_caution,
    housing_ordered_or_made,
    label_housing,
    specify_housing,
    try_housing,
)
from lifecycle.process.words import (
    CompareResult,
    LightKind,
    Orientation,
    ReportKind,
    SeenAs,
    SignCapacity,
)
from lifecycle.records.models import Housing, MuseumObject, PicturePurpose, Showing, Vocabulary
from lifecycle.records.models.condition.words import AsPlaced, NextStep
from lifecycle.records.models.display.ending import FacsimileOut, FoundAs, MountFate
from lifecycle.records.models.preparation import Board


def bring_down(cast: Cast, showing: Showing, at: datetime, lux: int, *, why: str) -> None:
    """Part A as found, signed by the technician, countersigned by the conservator; then down."""
    face = faces_of(showing)[0]
    report = start(
        cast,
        showing,
        ReportKind.DEINSTALL_AT_CASE,
        [face],
        at,
        by="bram",
        where=cast.key_of(position_of(showing)),
        seen_as=SeenAs.IN_CASE_THROUGH_GLASS,
    )
    record_as_found(
        report=report,
        as_placed=AsPlaced.AS_PLACED,
        dust="a little on the case floor",
        insects=0,
        picture=picture_of(cast, face, at, LightKind.DIFFUSE, PicturePurpose.AS_FOUND),
        **cast.acting("bram", at),
    )
    answer_all(cast, report, at, by="bram")
    report.refresh_from_db()
    save_conclusions(
        report=report,
        conclusions=Conclusions(result=CompareResult.NO_CHANGE_SEEN),
        revision=report.conclusions_revision,
        **cast.acting("bram", at),
    )
    report.refresh_from_db()
    sign_report(report=report, hand=cast.hand("bram"), at=at)
    countersign_report(
        report=report,
        capacity=SignCapacity.COUNTERSIGNED,
        hand=cast.hand("marit"),
        at=at + timedelta(minutes=10),
    )
    down = at + timedelta(minutes=30)
    place = position_of(showing)
    take_down(
        showing=showing,
        said=Found(
            taken_down_at=down,
            lamps_off_at=down - timedelta(minutes=5),
            found=FoundAs.AS_PLACED,
            mount=MountFate.TRAVELS_WITH_OBJECT,
            facsimile=FacsimileOut.NONE,
            handed_to="Marit Oldacre",
            meter=MeterSays(
                lux=Decimal(lux),
                uv=UV,
                point=place.reading_points.first(),
                meter=cast.instruments["luxmeter"],
            ),
            early_reason=why,
            curator_told_at=down - timedelta(days=1),
        ),
        second=cast.people["bram"],
        second_role=cast.role_of("bram"),
        **cast.acting("marit", down),
    )
    carry(
        cast,
        showing,
        cast.places["paper-lab"],
        "deinstall",
        down + timedelta(minutes=30),
        receiver="marit",
    )


def check_at_bench(cast: Cast, showing: Showing, at: datetime) -> None:
    """Part B under the baseline's lights, every feature answered; then the check is passed."""
    report = start(cast, showing, ReportKind.DEINSTALL_AT_BENCH, faces_of(showing), at)
    answer_all(cast, report, at, by="marit")
    record_bench_check(
        report=report, same_lights=True, next_step=NextStep.HOUSING, **cast.acting("marit", at)
    )
    report.refresh_from_db()
    sign_whole(cast, report, at, by="marit", words="As in the baseline, feature by feature.")
    make_move(showing_id=showing.pk, move="pass_check", **cast.acting("marit", at))
    showing.refresh_from_db()


def _board_for(thing: MuseumObject) -> Board:
    """With alkaline reserve, unless the house rules speak against it for this object."""
    against = board_caution(thing, Board.ALKALINE_RESERVE)
    return Board.UNBUFFERED if against else Board.ALKALINE_RESERVE


def order_housing(cast: Cast, showing: Showing, at: datetime) -> None:
    housing = specify_housing(
        museum_object=showing.museum_object,
        showing=showing,
        wanted=HousingWanted(
            kind=word(Vocabulary.HOUSING_KIND, "folder"),
            board=_board_for(showing.museum_object),
            orientation=Orientation(showing.museum_object.orientation_rule),
            lift_aid="Carrier sheet",
            with_whom=cast.people["rufus"],
        ),
        **cast.acting("marit", at),
    )
    housing_ordered_or_made(housing=housing, ordered_on=at.date(), **cast.acting("marit", at))


def go_home(cast: Cast, showing: Showing, at: datetime) -> None:
    """Housed and labelled by hand, carried to its own shelf; then the file is closed."""
    thing = showing.museum_object
    housing = Housing.objects.get(museum_object=thing, retired_at=None)
    housing = housing_ordered_or_made(
        housing=housing, made_on=at.date(), made_by="Rufus Tiller", **cast.acting("marit", at)
    )
    try_housing(housing=housing, fits=True, tried_at=at, **cast.acting("marit", at))
    label_housing(
        housing=housing, says=f"{thing.object_number} {thing.title}", **cast.acting("marit", at)
    )
    if thing.normal_location is None:
        raise ValueError(f"{thing} has no shelf of its own.")
    home = at + timedelta(hours=2)
    carry(cast, showing, thing.normal_location, "return-to-store", home, receiver="josephine")
    closed = home + timedelta(hours=1)
    send_home(showing=showing, **cast.acting("josephine", closed))
    showing.refresh_from_db()
