"""Blocks that several papers have: head, feature tables, dated lines, signatures, light."""

from dataclasses import replace

from lifecycle.papers.words.blocks import (
    Blanks,
    Block,
    Cautions,
    Cell,
    Column,
    FacePicture,
    Facts,
    Head,
    Table,
    Ticks,
)
from lifecycle.papers.words.parts import (
    BlockO,
    DatedLine,
    FacePage,
    FeatureWords,
    LightWords,
    ReportWords,
)

PENCIL = "Pencil only near the object"
NONE_KNOWN = "none known"
NOTHING_FURTHER = "nothing further seen"
NO_FEATURE = "no feature is on record for this face"
BLANK_FEATURES = 6

#: The answers to 'how does it stand against the earlier report'; not looked at is an answer too.
GLANCE_TICKS = ("as before", "changed?", "cannot tell")
STATE_TICKS = ("same", "worse", "less", "gone", "could not see", "not looked at")


def head_of(
    paper_name: str, institution: str, about: BlockO, *, hazard_line: str = "", pencil: bool = True
) -> Head:
    """The head of a paper about one object."""
    return Head(
        institution=institution,
        paper_name=paper_name,
        object_number=about.object_number,
        title=about.title,
        exhibition_number=about.exhibition_number,
        face_label=about.face.label if about.face else "",
        picture=about.face.picture if about.face else None,
        hazard_line=hazard_line or about.hazard_line,
        hazard_sign=about.hazardous,
        handling_line=about.handling_line,
        orientation=about.orientation,
        orientation_words=about.orientation_words,
        pencil_line=PENCIL if pencil else "",
    )


def report_line(report: ReportWords | None) -> str:
    """An earlier report in one line; that there is none is said, not left empty."""
    if report is None:
        return NONE_KNOWN
    return f"{report.number} ({report.kind}), {report.when}, {report.who}"


def what(feature: FeatureWords) -> str:
    """Term, layer and the last note, as one cell."""
    named = ", ".join(part for part in (feature.term, feature.layer) if part)
    return f"{named}\n{feature.note}" if feature.note else named


def full_feature_table(
    title: str, page: FacePage, *, with_unchanged: bool = False, name: str = ""
) -> Table:
    """Every known feature with columns to tick, and empty rows whose numbers continue."""
    columns = [
        Column("No.", 12, Cell.NUMBER),
        Column("What, layer, last note", 40 if with_unchanged else 50),
        Column("Zone", 11),
        Column("Size", 16),
        Column("Severity", 17),
    ]
    if with_unchanged:
        columns.append(Column("Last seen unchanged", 27))
    columns += [Column(state, 7.2, Cell.TICK) for state in STATE_TICKS]
    columns.append(Column("New size, note", 18, Cell.WRITE))
    rows = []
    for feature in page.features:
        row = [feature.name, what(feature), feature.zone, feature.size, feature.severity]
        if with_unchanged:
            row.append(feature.last_seen_unchanged)
        rows.append((*row, *[""] * (len(STATE_TICKS) + 1)))
    blanks = tuple(f"F{page.next_number + at}" for at in range(BLANK_FEATURES))
    return Table(title, tuple(columns), tuple(rows), blanks, name=name)


def glance_table(
    title: str, page: FacePage, *, with_unchanged: bool = True, name: str = ""
) -> Block:
    """Known features in short form for a look in the gallery: nothing is graded there."""
    if not page.features:
        return Facts(((title, NO_FEATURE),), columns=1)
    seen = [Column("Last seen unchanged", 28)] if with_unchanged else []
    columns = (
        Column("No.", 12, Cell.NUMBER),
        Column("What, layer, last note" if with_unchanged else "What, layer", 44),
        Column("Zone", 11),
        Column("Size", 18),
        *seen,
        *(Column(head, 18.5, Cell.TICK) for head in GLANCE_TICKS),
    )
    rows = []
    for feature in page.features:
        row = [feature.name, what(feature), feature.zone, feature.size]
        if not with_unchanged:
            row[1] = what(replace(feature, note=""))
        else:
            row.append(feature.last_seen_unchanged)
        rows.append((*row, *[""] * len(GLANCE_TICKS)))
    return Table(title, columns, tuple(rows), name=name)


def face_blocks(page: FacePage, table: Table, *, name: str = "") -> list[Block]:
    """A face's page: picture with grid and numbers, then the table, then 'nothing further'."""
    return [
        FacePicture(page.face, page.marks, grid=page.grid),
        table,
        Ticks("New features", (NOTHING_FURTHER, "new features written above"), name=name),
    ]


def light_blocks(lights: tuple[str, ...], *, part: str = "") -> list[Block]:
    """Lights to tick, and what a light needs beside its name: side, times, minutes of exposure."""
    return [
        Ticks("Light used", lights, name=f"{part}lights"),
        Blanks(
            (("raking from (o'clock)", 3), ("magnified ×", 2), ("minutes in UV", 2)),
            names=(f"{part}raking_from", f"{part}magnified", f"{part}uv_minutes"),
        ),
    ]


def dated_table(title: str, lines: tuple[DatedLine, ...], none: str) -> Block:
    """What happened or is due, one line each; an empty list is said in words."""
    if not lines:
        return Facts(((title, none),), columns=1)
    columns = (Column("When", 40), Column("What", 93), Column("Who", 40))
    return Table(title, columns, tuple((one.when, one.what, one.who) for one in lines), row_mm=5)


def recorded_table(title: str, page: FacePage) -> Block:
    """The features as a signed report found them: nothing to tick."""
    if not page.features:
        return Facts(((title, NO_FEATURE),), columns=1)
    columns = (
        Column("No.", 12, Cell.NUMBER),
        Column("What, layer, note", 70),
        Column("Zone", 12),
        Column("Size", 22),
        Column("Severity", 25),
        Column("Against the earlier report", 32),
    )
    rows = tuple(
        (one.name, what(one), one.zone, one.size, one.severity, one.last_state)
        for one in page.features
    )
    return Table(title, columns, rows)


def light_rows(light: LightWords | None, *, spent: bool = True) -> tuple[tuple[str, str], ...]:
    """Light so far with what it rests on (unless `spent` is false), ceiling, points, readings."""
    if light is None:
        return (("Light so far", "not computed: no face is on show"),)
    rows = [("Light ceiling", light.ceiling)]
    if spent:
        rows = [("Light so far", light.total), ("Rests on", light.basis), *rows]
    if light.points:
        rows.append(("Reading points", ", ".join(light.points)))
    if light.last_readings:
        rows.append(("Last readings", "; ".join(light.last_readings[: 2 if spent else 1])))
    return tuple(rows)


def cautions_of(about: BlockO) -> Cautions:
    return Cautions(about.hazard_line, about.cautions, sign=about.hazardous)
