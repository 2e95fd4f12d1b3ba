"""The museum of a trip, and who acts at which moment."""

from datetime import UTC, date, datetime, timedelta
from typing import Any

from lifecycle.process.stages import Role, Stage
from lifecycle.process.words import (
    LightKind,
    PlaceKind,
    ReportKind,
)
from lifecycle.queries.facts import facts_of_one
from lifecycle.records.models import (
    DisplayPeriod,
    Exhibition,
    Face,
    MuseumObject,
    Person,
    Place,
    Showing,
)
from tests.builders.core import (
    kept_by,
    make_class,
    make_exhibition,
    make_face,
    make_object,
    make_person,
    make_place,
)
from tests.builders.display import (
    Crew,
    hand,
    make_case,
    make_crew,
    signed_report,
)
from tests.builders.light import make_timetable
from tests.builders.treatment import make_picture

BEGUN = datetime(2026, 5, 4, 8, 0, tzinfo=UTC)
OPENS, CLOSES = date(2026, 7, 1), date(2026, 9, 20)
R = Role


class Museum:
    """Places, people and an exhibition of twelve weeks, shared by the trips of one example."""

    def __init__(self, begun: datetime = BEGUN) -> None:
        self.crew: Crew = make_crew()
        self.mounter: Person = make_person(R.MOUNT_MAKER, name="Rufus Tiller")
        self.printer: Person = make_person(R.PHOTOGRAPHER, name="Ada Kestrel")
        self.manager: Person = make_person(R.EXHIBITION_MANAGER, name="Sunniva Platt")
        self.exhibition = make_exhibition(
            install_from=date(2026, 6, 15),
            opens=OPENS,
            closes=CLOSES,
            deinstall_until=date(2026, 10, 2),
            manager=self.manager,
        )
        self.exhibition.curators.add(self.crew.curator)
        self.case, self.positions = make_case("N1", 2)
        for place in (self.case, *self.positions):
            place.timetable = place.timetable or make_timetable()
            place.keep(**kept_by())
        self.bench = make_place("Paper bench", PlaceKind.BENCH)
        self.klass = make_class()
        #: One clock for the house: what one trip does is never in another's future.
        self.now = begun

    def another_exhibition(self) -> Exhibition:
        """A second one at the same time, with the same people."""
        made = make_exhibition(
            title="Glass and Frost",
            install_from=date(2026, 6, 15),
            opens=OPENS,
            closes=CLOSES,
            deinstall_until=date(2026, 10, 2),
            manager=self.manager,
        )
        made.curators.add(self.crew.curator)
        return made


class Walker:
    """One object on its way; the clock of the house moves on with every deed."""

    def __init__(
        self,
        museum: Museum,
        *,
        faces: int = 1,
        place: int = 0,
        like: "Walker | None" = None,
        exhibition: Exhibition | None = None,
    ) -> None:
        """``like``: the object of another trip, asked for by another exhibition."""
        self.museum, self.crew = museum, museum.crew
        self.exhibition = exhibition or museum.exhibition
        self.thing: MuseumObject = make_object() if like is None else like.thing
        self.faces: list[Face] = (
            [make_face(self.thing, label=f"face {n}", order=n) for n in range(1, faces + 1)]
            if like is None
            else like.faces
        )
        self.place: Place = museum.positions[place]
        self.showing = self.ask()

    @property
    def at(self) -> datetime:
        return self.museum.now

    def tick(self, **later: int) -> datetime:
        self.museum.now += timedelta(**(later or {"minutes": 10}))
        return self.museum.now

    def acts(self, person: Person, role: Role) -> dict[str, Any]:
        return {"by": person, "role": role, "at": self.tick()}

    @property
    def conservator(self) -> dict[str, Any]:
        return self.acts(self.crew.conservator, R.CONSERVATOR)

    @property
    def curator(self) -> dict[str, Any]:
        return self.acts(self.crew.curator, R.CURATOR)

    @property
    def registrar(self) -> dict[str, Any]:
        return self.acts(self.crew.registrar, R.REGISTRAR)

    def row(self) -> Showing:
        return Showing.objects.select_related("museum_object", "exhibition").get(pk=self.showing.pk)

    @property
    def stage(self) -> Stage:
        return Stage(self.row().stage)

    def shown_face(self) -> Face:
        period = DisplayPeriod.objects.filter(
            showing=self.showing, closed_at=None, struck_at=None
        ).first()
        return period.face if period is not None else self.faces[0]

    def hands(self) -> dict[str, Any]:
        return {
            "one": hand(self.crew.conservator, R.CONSERVATOR),
            "other": hand(self.crew.registrar, R.REGISTRAR),
        }

    def picture(self, face: Face, light: LightKind = LightKind.DIFFUSE) -> Any:
        return make_picture(face, taken_at=self.at, light=light, purpose="mount_fit")

    def report(self, kind: ReportKind, *faces: Face, **values: Any) -> None:
        signed_report(self.crew, self.row(), kind, self.tick(), *(faces or self.faces), **values)

    def facts(self) -> Any:
        return facts_of_one(self.row(), self.at)

    def ask(self) -> Showing:
        raise NotImplementedError("A whole trip asks for its object.")
