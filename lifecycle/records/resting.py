"""What a new row rests on in other tables, kept by the database: no constraint reaches there.

A model names it in ``rests_on``; ``records/triggers.py`` makes one trigger of each. They say less
than the gates, which ask for everything at once and in words: they hold what must always hold, for
whatever else may ever write a row.
"""

from dataclasses import dataclass

from lifecycle.process.moves import MOVES


@dataclass(frozen=True, slots=True, kw_only=True)
class Rests:
    """A row that ``applies`` to is only written where a row that ``needs`` finds is there.

    Both are SQL that SQLite and PostgreSQL read alike, over ``NEW``, and never NULL; without
    ``needs`` such a row is never written.
    """

    name: str
    applies: str
    needs: str = ""
    said: str

    @property
    def missing(self) -> str:
        """When the row is refused."""
        return f"{self.applies} AND NOT EXISTS ({self.needs})" if self.needs else self.applies


def _one(table: str, where: str) -> str:
    # Names of our own tables and columns, never a person's text.
    return f"SELECT 1 FROM records_{table} AS one WHERE {where}"  # noqa: S608


def _of_the_showing(table: str, where: str = "") -> str:
    return _one(table, "one.showing_id = NEW.showing_id" + (f" AND {where}" if where else ""))


def _edges() -> str:
    """Every way of the table of moves; where a request begins a showing is told by its stage."""
    found = sorted(
        (move.name, source.value if source is not None else "", target.value)
        for move in MOVES.values()
        for source, target in move.edges
        if move.name != "request"
    )
    return " OR ".join(
        f"(NEW.move = '{name}' AND NEW.from_stage = '{source}' AND NEW.to_stage = '{target}')"
        for name, source, target in found
    )


_SIGNED = "one.digest <> ''"
_HOME = "NEW.move IN ('send_home', 'pass_on') AND NEW.to_stage = 'returned'"

JOURNAL = (
    Rests(
        name="walk",
        applies=f"NEW.move <> 'request' AND NOT ({_edges()})",
        said="No such move leads from there to there.",
    ),
    Rests(
        name="stands",
        applies="NEW.from_stage <> ''",
        needs=_one("showing", "one.id = NEW.showing_id AND one.stage = NEW.from_stage"),
        said="A move begins where the showing stands.",
    ),
    Rests(
        name="installed",
        applies="NEW.move = 'install'",
        needs=_of_the_showing("installcheck", _SIGNED),
        said="Nothing is on display without a signed install check.",
    ),
    Rests(
        name="shown",
        applies="NEW.move = 'show_again'",
        needs=_of_the_showing("turnrecord", _SIGNED),
        said="Nothing is shown again without a signed turn record.",
    ),
    Rests(
        name="taken",
        applies="NEW.move = 'take_over'",
        needs=_of_the_showing("takeover"),
        said="Nothing is taken over without its record.",
    ),
    Rests(
        name="found",
        applies=f"{_HOME} AND NOT EXISTS ({_of_the_showing('takeover')})",
        needs=_of_the_showing("conditionreport", f"one.kind = 'deinstall_at_case' AND {_SIGNED}"),
        said="Nobody is home without part A.",
    ),
    Rests(
        name="compared",
        applies=_HOME,
        needs=_of_the_showing(
            "conditionreport",
            f"one.kind = 'deinstall_at_bench' AND {_SIGNED}"
            " AND (one.compared_with_id IS NOT NULL OR one.none_known <> '')",
        ),
        said="Nobody is home without part B, compared or with none known.",
    ),
)

PERIOD = (
    Rests(
        name="check",
        applies="NEW.install_check_id IS NOT NULL",
        needs=_one("installcheck", f"one.id = NEW.install_check_id AND {_SIGNED}"),
        said="The install check of a display period is signed.",
    ),
    Rests(
        name="turn",
        applies="NEW.turn_id IS NOT NULL",
        needs=_one("turnrecord", f"one.id = NEW.turn_id AND {_SIGNED}"),
        said="The turn record of a display period is signed.",
    ),
)

STEP = (
    Rests(
        name="consent",
        applies="NEW.version_id IS NOT NULL",
        needs=_one(
            "consent",
            "one.version_id = NEW.version_id AND one.decision IN ('agree', 'agree_within_limits')",
        ),
        said="No treatment step outside a consented version.",
    ),
)
