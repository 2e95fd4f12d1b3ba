"""Carried, compared, housed; held and let go."""

from typing import Any

from lifecycle.actions.display.appointments import Plan, plan_appointment
from lifecycle.actions.display.going_home import store_resting
from lifecycle.actions.movements import authorise_movement, hand_over, plan_movement, receive
from lifecycle.actions.movements.planning import Carried
from lifecycle.actions.movements.receiving import Scanned
from lifecycle.actions.moves import lift_hold, place_hold
from lifecycle.actions.preparation.housing import (
    HousingWanted,
    housing_ordered_or_made,
    label_housing,
    specify_housing,
    try_housing,
)
from lifecycle.process.words import (
    Hazard,
    HoldKind,
    ReportKind,
)
from lifecycle.records.models import (
    Housing,
    MuseumObject,
    Place,
    RemovalCard,
    Vocabulary,
)
from lifecycle.records.models.display.rotation import AppointmentKind
from lifecycle.records.models.movements import StateOnArrival
from lifecycle.records.models.preparation import Board
from tests.builders.core import make_word
from tests.builders.display import hand
from tests.builders.trip.base import R, Walker


class Leaving(Walker):
    """Ways, looks and housing."""

    def carry(self, to: Place, reason: str) -> None:
        """Planned, authorised, handed over, received by somebody else and confirmed by scan."""
        thing = MuseumObject.objects.get(pk=self.thing.pk)
        here = thing.current_location
        if here is None or here.pk == to.pk:
            return
        movement = plan_movement(
            **self.registrar,
            from_place=here,
            to_place=to,
            reason=make_word(Vocabulary.MOVE_REASON, reason),
            carried=[Carried(museum_object=thing, showing=self.row())],
        )
        authorise_movement(**self.registrar, movement=movement)
        said = self.conservator
        hand_over(
            **said,
            movement=movement,
            hand=hand(self.crew.conservator, R.CONSERVATOR),
            left_at=said["at"],
        )
        card = RemovalCard.objects.filter(museum_object=thing, lifted_at=None, place=to).first()
        said = self.registrar
        receive(
            **said,
            movement=movement,
            hand=hand(self.crew.registrar, R.REGISTRAR),
            arrived_at=said["at"],
            state=StateOnArrival.SAME,
            scanned=Scanned(
                place=to.code,
                objects=[thing.code],
                card_numbers={thing.pk: card.card_no} if card is not None else {},
            ),
        )

    def bring(self) -> None:
        self.carry(self.place, "install")

    def take_home(self) -> None:
        home = self.thing.normal_location
        assert home is not None
        self.carry(home, "return-to-store")

    def house(self) -> None:
        made = Housing.objects.filter(museum_object=self.thing, retired_at=None).first()
        if made is None:
            made = specify_housing(
                **self.conservator,
                museum_object=self.thing,
                showing=self.row(),
                wanted=HousingWanted(
                    kind=make_word(Vocabulary.HOUSING_KIND, "folder"),
                    board=Board.ALKALINE_RESERVE,
                    fit_for_travel=True,
                ),
            )
            said = self.conservator
            housing_ordered_or_made(
                **said, housing=made, made_on=said["at"].date(), made_by="Rufus Tiller"
            )
        said = self.conservator
        try_housing(**said, housing=made, fits=True, tried_at=said["at"])

    def label(self) -> None:
        made = Housing.objects.get(museum_object=self.thing, retired_at=None)
        hazards = (Hazard(one).label for one in self.thing.hazards.values_list("hazard", flat=True))
        says = f"{self.thing.object_number}; {'; '.join(hazards)}"
        label_housing(**self.conservator, housing=made, says=says)

    def part_b(self) -> None:
        """Compared with the last report before it; what was found stays as it was."""
        earlier = self.row().condition_reports.exclude(digest="").order_by("-pk").first()
        values: dict[str, Any] = {"compared_with": earlier}
        if earlier is None:
            values = {"none_known": "Nothing on file."}
        self.report(ReportKind.DEINSTALL_AT_BENCH, **values)

    def rest(self) -> None:
        store_resting(**self.registrar, showing=self.row())

    def hold(self) -> None:
        place_hold(
            **self.conservator,
            object_id=self.thing.pk,
            kind=HoldKind.UNCLEAR_FINDING,
            reason="A flake that may lift.",
            showing=self.row(),
        )

    def lift(self) -> None:
        for hold in self.thing.holds.filter(lifted_at=None):
            lift_hold(**self.conservator, hold_id=hold.pk, decision="Stable; seen in raking light.")

    def compare_shown(self) -> None:
        self.report(ReportKind.OFF_GOING_FACE, self.shown_face())

    def plan_turn(self) -> None:
        other = next(face for face in self.faces if face != self.shown_face())
        plan_appointment(
            **self.registrar,
            showing=self.row(),
            plan=Plan(
                kind=AppointmentKind.TURN,
                day=self.at.date(),
                place=self.place,
                person_1=self.crew.conservator,
                person_2=self.crew.registrar,
                from_face=self.shown_face(),
                to_face=other,
            ),
        )
