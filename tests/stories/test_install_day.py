"""Install day in batch, with its numbers: six plates, five close."""

from dataclasses import replace
from datetime import UTC, datetime
from decimal import Decimal
from typing import Any

import pytest

from lifecycle.actions.display.installing_case import CaseLine, install_case
from lifecycle.actions.refusals import Refused
from lifecycle.process.stages import Role, Stage
from lifecycle.records.models import (
    Account,
    DisplayPeriod,
    InstallCheck,
    LightReading,
    Showing,
    Signature,
)
from tests.builders.display import (
    Crew,
    a_photo,
    face_of,
    hand,
    make_case,
    make_crew,
    make_meter,
    meter_says,
    ready_showing,
)

pytestmark = pytest.mark.django_db
INSTALL_DAY = datetime(2026, 3, 11, 9, 30, tzinfo=UTC)


def six_plates(crew: Crew) -> list[Showing]:
    _, positions = make_case("N2", 6)
    return [ready_showing(crew, position, INSTALL_DAY) for position in positions]


def line_of(showing: Showing, lux: str = "46", **values: Any) -> CaseLine:
    place = showing.place
    assert place is not None
    point = place.reading_points.get()
    line = CaseLine(
        showing=showing,
        face=face_of(showing),
        place=place,
        photo=a_photo(),
        meter=meter_says(lux, point=point, meter=make_meter()),
    )
    return replace(line, **values)


def test_five_plates_close_and_the_one_upside_down_stays_open() -> None:
    crew = make_crew()
    plates = six_plates(crew)
    lines = [line_of(plate, str(44 + number)) for number, plate in enumerate(plates)]
    lines[5] = replace(lines[5], upside_down=True, exception="Plate 7 hangs upside down.")
    result = install_case(
        one=hand(crew.technician, Role.TECHNICIAN),
        other=hand(crew.conservator, Role.CONSERVATOR),
        at=INSTALL_DAY,
        lines=lines,
        observed_at=INSTALL_DAY,
    )
    assert len(result.closed) == 5
    assert [left.showing.pk for left in result.left_open] == [plates[5].pk]
    said = " ".join(reason.text for reason in result.left_open[0].reasons)
    assert "upside down" in said
    assert "right way up" in said
    stages = [Showing.objects.get(pk=plate.pk).stage for plate in plates]
    assert stages == [Stage.ON_DISPLAY] * 5 + [Stage.READY]
    still_open = InstallCheck.objects.get(closed_at=None)
    assert still_open.showing_id == plates[5].pk
    assert still_open.digest == ""
    assert DisplayPeriod.objects.filter(closed_at=None).count() == 5


def test_each_plate_keeps_its_own_photograph_and_its_own_lux_at_its_own_point() -> None:
    crew = make_crew()
    plates = six_plates(crew)
    install_case(
        one=hand(crew.technician, Role.TECHNICIAN),
        other=hand(crew.conservator, Role.CONSERVATOR),
        at=INSTALL_DAY,
        lines=[line_of(plate, str(44 + number)) for number, plate in enumerate(plates)],
        observed_at=INSTALL_DAY,
    )
    checks = InstallCheck.objects.filter(as_planned=True).order_by("pk")
    assert len({check.picture_id for check in checks}) == 6
    assert [check.lux for check in checks] == [Decimal(44 + n) for n in range(6)]
    assert len({check.reading_point_id for check in checks}) == 6
    assert LightReading.objects.filter(showing__in=plates).count() == 6


@pytest.mark.parametrize(("gone", "word"), [("photo", "Photograph"), ("meter", "lux")])
def test_all_as_planned_never_stands_for_a_photograph_or_a_lux(gone: str, word: str) -> None:
    crew = make_crew()
    plates = six_plates(crew)
    lines = [line_of(plate) for plate in plates]
    lines[0] = replace(
        lines[0],
        **({"photo": None} if gone == "photo" else {"meter": replace(lines[0].meter, lux=None)}),
    )
    result = install_case(
        one=hand(crew.technician, Role.TECHNICIAN),
        other=hand(crew.conservator, Role.CONSERVATOR),
        at=INSTALL_DAY,
        lines=lines,
        observed_at=INSTALL_DAY,
    )
    assert len(result.closed) == 5
    assert word in " ".join(reason.text for reason in result.left_open[0].reasons)


def test_a_wrong_password_signs_nothing_of_the_whole_case() -> None:
    crew = make_crew()
    plates = six_plates(crew)
    with pytest.raises(Refused, match="not the password"):
        install_case(
            one=hand(crew.technician, Role.TECHNICIAN, "guessed"),
            other=hand(crew.conservator, Role.CONSERVATOR),
            at=INSTALL_DAY,
            lines=[line_of(plate) for plate in plates],
            observed_at=INSTALL_DAY,
        )
    assert not InstallCheck.objects.exists()


def test_the_open_plate_closes_once_it_is_put_right() -> None:
    crew = make_crew()
    plates = six_plates(crew)[:2]
    lines = [line_of(plates[0]), replace(line_of(plates[1]), upside_down=True)]
    both = {
        "one": hand(crew.technician, Role.TECHNICIAN),
        "other": hand(crew.conservator, Role.CONSERVATOR),
    }
    install_case(**both, at=INSTALL_DAY, lines=lines, observed_at=INSTALL_DAY)
    begun = InstallCheck.objects.get(closed_at=None)
    again = install_case(
        **both,
        at=INSTALL_DAY,
        lines=[replace(lines[1], upside_down=False, photo=a_photo())],
        observed_at=INSTALL_DAY,
    )
    assert [check.pk for check in again.closed] == [begun.pk]
    assert Showing.objects.get(pk=plates[1].pk).stage == Stage.ON_DISPLAY


def test_twelve_signatures_check_two_passwords_once_each(monkeypatch: pytest.MonkeyPatch) -> None:
    """Six plates and two people: a password takes most of a second, the case three minutes."""
    crew = make_crew()
    plates = six_plates(crew)
    asked: list[str] = []
    really = Account.check_password

    def counted(account: Account, password: str) -> bool:
        asked.append(account.username)
        return really(account, password)

    monkeypatch.setattr(Account, "check_password", counted)
    result = install_case(
        one=hand(crew.technician, Role.TECHNICIAN),
        other=hand(crew.conservator, Role.CONSERVATOR),
        at=INSTALL_DAY,
        lines=[line_of(plate) for plate in plates],
        observed_at=INSTALL_DAY,
    )
    assert len(result.closed) == 6
    assert Signature.objects.filter(record_kind="install-check").count() == 12
    assert len(asked) == 2
