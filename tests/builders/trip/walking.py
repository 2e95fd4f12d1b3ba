"""A whole trip: one deed for each reason that is given, the moves as the pages make them."""

from datetime import timedelta
from typing import Any, Final

from lifecycle.actions.display.installing import install
from lifecycle.actions.display.rotating import Shown, show_again, start_rotation
from lifecycle.actions.display.taking_down import Found, take_down
from lifecycle.actions.display.withdrawing import withdraw
from lifecycle.actions.moves import make_move
from lifecycle.process.words import ReportKind
from lifecycle.records.models.display.ending import (
    FacsimileOut,
    FoundAs,
    MountFate,
    SubstituteKind,
)
from lifecycle.records.models.display.rotation import SupportDone, SwapDone
from tests.builders.display import (
    all_seen,
    meter_says,
)
from tests.builders.trip.base import R
from tests.builders.trip.examining import Examining
from tests.builders.trip.leaving import Leaving
from tests.builders.trip.preparing import Preparing


class Trip(Examining, Preparing, Leaving):
    """One object on its way. ``deal_with`` does what a reason asks, by its code."""

    DEEDS: Final = {
        "answer": "answer",
        "baseline": "examine",
        "assessment": "assess",
        "proposal": "propose",
        "consent": "consent",
        "treatment": "treat",
        "facsimile": "copy_faces",
        "mount": "mount",
        "caption": "caption",
        "case": "build_case",
        "light": "prove",
        "route": "walk_the_route",
        "hazards": "hazards",
        "object.held": "lift",
        "object.back": "take_home",
        "movement.received": "bring",
        "movement.home": "take_home",
        "rotation.off_going": "compare_shown",
        "part_b": "part_b",
        "housing.fits": "house",
        "housing.label": "label",
        "resting": "rest",
    }

    def deal_with(self, code: str) -> bool:
        """Do what the reason with this code asks; False when nobody here knows how."""
        found = [name for name in self.DEEDS if code == name or code.startswith(f"{name}.")]
        if code == "look.fresh":
            self.examine(ReportKind.BEFORE_INSTALL)
        elif code.startswith("part_a"):
            self.report(ReportKind.DEINSTALL_AT_CASE)
        elif found:
            getattr(self, self.DEEDS[max(found, key=len)])()
        else:
            return False
        return True

    def move(self, name: str, **said: Any) -> None:
        """Make a move; those with evidence of their own write it in the same breath.

        :raises Refused: with everything that stands in the way
        """
        composite = getattr(self, f"do_{name}", None)
        if composite is not None:
            composite()
            return
        role = {
            "send_home": R.REGISTRAR,
            "withdraw": R.CURATOR,
        }.get(name, R.CONSERVATOR)
        person = {R.REGISTRAR: self.crew.registrar, R.CURATOR: self.crew.curator}.get(
            role, self.crew.conservator
        )
        said.setdefault("reason", "So that it is told.")
        said.setdefault("limits_read", True)
        make_move(showing_id=self.showing.pk, move=name, **self.acts(person, role), **said)

    def do_decline(self) -> None:
        self.say_no()

    def do_install(self) -> None:
        at = self.tick()
        install(
            **self.hands(),
            at=at,
            showing=self.row(),
            face=self.faces[0],
            place=self.place,
            observed_at=at,
            seen=all_seen(),
        )

    def do_start_rotation(self) -> None:
        at = self.tick()
        start_rotation(
            **self.hands(), at=at, showing=self.row(), reason="The first half is over.",
            started_at=at,
        )  # fmt: skip

    def do_show_again(self) -> None:
        coming = self.faces[-1]
        self.report(ReportKind.ON_COMING_FACE, coming)
        at = self.tick()
        show_again(
            **self.hands(),
            at=at,
            showing=self.row(),
            done_at=at,
            shown=Shown(
                to_face=coming,
                place=self.place,
                support=SupportDone.CHANGED,
                support_fits=True,
                way_up_right=True,
                facsimile=SwapDone.NOT_NEEDED,
                caption=SwapDone.NOT_NEEDED,
                photo_after=all_seen().photo,
                meter=meter_says("45"),
            ),
        )

    def do_take_down(self) -> None:
        at = self.tick()
        take_down(
            by=self.crew.conservator,
            role=R.CONSERVATOR,
            at=at,
            showing=self.row(),
            said=Found(
                taken_down_at=at,
                lamps_off_at=at - timedelta(minutes=5),
                found=FoundAs.AS_PLACED,
                mount=MountFate.TAKEN_OUT,
                facsimile=FacsimileOut.NONE,
                handed_to="Marit Oldacre",
                meter=meter_says("43"),
                early_reason="The gallery closes.",
                curator_told_at=at - timedelta(hours=1),
            ),
            second=self.crew.registrar,
            second_role=R.REGISTRAR,
        )
        self.carry(self.museum.bench, "deinstall")

    def do_withdraw(self) -> None:
        withdraw(
            **self.curator,
            showing=self.row(),
            reason="It proved too fragile.",
            substitute=SubstituteKind.NONE_WANTED,
        )
