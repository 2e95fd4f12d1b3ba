"""Light statement: face after face, with its figures, their basis and a drawing in black."""

from datetime import date

from lifecycle.papers.sheets.shared import cautions_of, head_of
from lifecycle.papers.words.blocks import (
    Block,
    Column,
    Facts,
    Heading,
    ObjectBlock,
    Plot,
    PlotPoint,
    SheetPlan,
    Signatures,
    Table,
    Text,
    Together,
)
from lifecycle.papers.words.light_statement import (
    FaceStatement,
    LightStatementWords,
    ShownWords,
)
from lifecycle.papers.words.parts import SignatureWords
from lifecycle.planning.day_words import day_words

COLUMNS = (
    Column("Shown, place", 37),
    Column("From, to", 29),
    Column("Lit hours", 21),
    Column("Lux: mean, lowest to highest; readings", 30),
    Column("UV, µW/lm", 13),
    Column("Dose, lx·h: likely, low to high", 29),
    Column("Basis", 24),
)
OTHER = (
    Column("Light", 44),
    Column("From, to", 40),
    Column("Dose, lx·h: likely, low to high", 32),
    Column("Basis, source", 66),
)
WHAT_IT_TELLS = (
    "A dose in lux hours tells how much light fell on a face and can be compared between showings. "
    "It does not tell how much the colour changed: that depends on the material, on ultraviolet "
    "light and on the lamp's spectrum, and only a look at the object or a measurement shows it."
)


def light_statement_sheet(said: LightStatementWords) -> SheetPlan:
    """Block O, then each face; nothing is written on it but the signature."""
    blocks: list[Block] = [ObjectBlock(said.about), cautions_of(said.about)]
    if said.passes_through:
        blocks.append(Text(said.passes_through, bold=True))
    for face in said.faces:
        blocks += _face(face)
    blocks.append(
        Together((Text(WHAT_IT_TELLS), Signatures((SignatureWords(capacity="Conservator"),))))
    )
    return SheetPlan(
        head_of("Light statement", said.institution, said.about, pencil=False), tuple(blocks)
    )


def _face(face: FaceStatement) -> list[Block]:
    blocks: list[Block] = [Heading(face.label, face.rule)]
    blocks += [Text(text, bold=True) for text in face.missing]
    blocks.append(Facts(face.sums, columns=2))
    if face.shown:
        blocks.append(Table("On display", COLUMNS, tuple(map(_row, face.shown))))
    if face.other:
        blocks.append(
            Table(
                "Imaging, examination and estimated past showings",
                OTHER,
                tuple((one.what, one.days, one.dose, one.basis) for one in face.other),
            )
        )
    if not face.shown and not face.other:
        blocks.append(Text("No light is on record for this face."))
    if len(face.course) > 1 and face.allowance and any(one.lx_h for one in face.course):
        blocks.append(_plot(face))
    for title, lines in (
        ("Charged without a reading", tuple(f"{g.since} to {g.until}: {g.how}" for g in face.gaps)),
        ("Light events", face.events),
        ("Allowed above the rules", face.overrides),
    ):
        blocks.append(Facts(((title, "\n".join(lines) or "none on record"),), columns=1))
    blocks.append(Facts((("When it may be shown next", face.earliest),), columns=1))
    return blocks


def _row(one: ShownWords) -> tuple[str, ...]:
    return (one.what, one.days, one.lit, one.lux, one.uv, one.dose, one.basis)


def _plot(face: FaceStatement) -> Plot:
    most = max(face.course, key=lambda one: one.lx_h)
    allowance = face.allowance or 0
    return Plot(
        title=f"Dose in the rolling window by date: at most {most.lx_h:,} lx·h",
        summary=(
            f"The window is fullest on {day_words(date.fromisoformat(most.day))} with "
            f"{most.lx_h:,} lx·h; the allowance is {allowance:,} lx·h. What lies "
            "after today is promised and drawn dashed; hatched: charged without a reading."
        ),
        points=tuple(
            PlotPoint(date.fromisoformat(one.day), one.lx_h, one.promised) for one in face.course
        ),
        limit=allowance,
        today=date.fromisoformat(face.today),
        hatched=tuple(
            (date.fromisoformat(gap.since), date.fromisoformat(gap.until)) for gap in face.gaps
        ),
    )
