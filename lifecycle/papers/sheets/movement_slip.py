"""Movement slip: three parts on one sheet; a list page when there are more than three."""

from dataclasses import replace

from lifecycle.papers.sheets.shared import PENCIL, head_of
from lifecycle.papers.words.blocks import (
    Big,
    Blanks,
    Block,
    Cautions,
    Cell,
    Column,
    CutLine,
    Facts,
    Head,
    Heading,
    NewPage,
    SheetPlan,
    Signatures,
    Table,
    Text,
    Ticks,
    Together,
)
from lifecycle.papers.words.movement_slip import MovementSlipWords
from lifecycle.papers.words.parts import BlockO, SignatureWords

#: More objects than this stand on a list page of their own.
ON_THE_SLIP = 3


def movement_slip_sheet(words: MovementSlipWords) -> SheetPlan:
    """Part 1 goes with the object, part 2 stays with who releases, part 3 lies in the gap."""
    many = len(words.objects) > ON_THE_SLIP
    blocks = _with_the_object(words, many=many)
    if many:
        blocks += [*_with_who_releases(words)]
        blocks += [NewPage(), Heading("Objects on this movement"), _object_table(words.objects)]
        blocks.append(Heading("Removal cards", "Cut and leave each card in its empty place."))
        blocks += [_card(words, (one,), at) for at, one in enumerate(words.objects)]
    else:
        blocks.append(Together((*_with_who_releases(words), _card(words, words.objects, 0))))
    return SheetPlan(_head(words), tuple(blocks))


def _head(words: MovementSlipWords) -> Head:
    first = words.objects[0]
    head = head_of("Movement slip", words.institution, first, hazard_line=words.hazard_line)
    if len(words.objects) == 1:
        return head
    return replace(
        head,
        object_number=f"{first.object_number} and {len(words.objects) - 1} more",
        title="; ".join(one.object_number for one in words.objects),
        exhibition_number="",
        face_label="",
        picture=None,
        handling_line=f"Handling: {len(words.objects)} objects, each by its own line below. "
        f"{words.people_words}.",
        hazard_sign=any(one.hazardous for one in words.objects),
        orientation="any",
        pencil_line=PENCIL,
    )


def _with_the_object(words: MovementSlipWords, *, many: bool) -> list[Block]:
    blocks: list[Block] = [Heading("Part 1: goes with the object")]
    if len(words.objects) == 1:
        blocks.append(_beside_the_head(words.objects[0]))
    elif many:
        blocks.append(Text(f"{len(words.objects)} objects: see the list page.", bold=True))
    else:
        blocks.append(_object_table(words.objects))
    if words.cautions:
        hazardous = any(one.hazardous for one in words.objects)
        blocks.append(Cautions("", words.cautions, sign=hazardous))
    return [
        *blocks,
        Facts(
            (
                ("From", words.going_from),
                ("Planned for", words.planned_for),
                ("To", words.going_to),
                ("Carried by", words.carried_by),
                ("Reason", words.reason),
                ("Method", words.method),
            ),
            columns=2,
        ),
        Facts(
            (
                ("People needed", words.people_words),
                ("Authority", " ".join(p for p in (words.authorised_by, words.authorised_at) if p)),
                ("Route", words.route_remarks),
            ),
            columns=1,
        ),
        Blanks((("Left at (time)", 2), ("Arrived at (time)", 2), ("Date", 2))),
        Ticks("State on arrival", ("same", "changed", "cannot tell"), write="how"),
        Together(
            (
                Signatures(
                    (
                        SignatureWords(capacity="Handed over by"),
                        SignatureWords(capacity="Received by"),
                    )
                ),
            )
        ),
    ]


def _beside_the_head(one: BlockO) -> Facts:
    """What block O says and the head does not, so that parts 2 and 3 fit on the same side.

    The head has number, title, picture, and in its handling line which way up.
    """
    face = f"{one.face.label}. {one.face.top_left}" if one.face else ""
    rows = (
        ("Maker, date", ", ".join(part for part in (one.maker, one.date_text) if part)),
        ("Object type", one.object_type),
        ("Owner", one.owner),
        ("Face", face),
    )
    return Facts(tuple(row for row in rows if row[1]), columns=2)


def _with_who_releases(words: MovementSlipWords) -> list[Block]:
    return [
        CutLine(
            f"Cut here: print on one side. Part 2: stays with who releases. {words.movement_no}"
        ),
        Facts(
            (
                ("Object", "; ".join(one.object_number for one in words.objects)),
                ("Given to", words.carried_by),
                ("To", words.going_to),
                ("Expected back", words.expected_back),
            ),
            columns=2,
        ),
    ]


def _card(words: MovementSlipWords, objects: tuple[BlockO, ...], at: int) -> Together:
    card = ", ".join(words.card_numbers[at : at + len(objects)]) or words.movement_no
    hazards = "; ".join(dict.fromkeys(one.hazard_line.split(": ", 1)[-1] for one in objects))
    orientation = "; ".join(
        dict.fromkeys(one.orientation_words for one in objects if one.orientation_words)
    )
    return Together(
        (
            CutLine(f"Cut here. Part 3: removal card {card}, stays in the empty place"),
            *(Big(one.object_number, orientation=one.orientation) for one in objects),
            Text("; ".join(one.title for one in objects)[:200], bold=True),
            Facts(
                (
                    ("Gone to", words.going_to),
                    ("Expected back", words.expected_back),
                    ("Why", words.reason),
                    ("People needed", words.people_words),
                    ("Hazard", hazards),
                    ("Orientation", orientation),
                ),
                columns=2,
            ),
            Blanks((("Since (date, time)", 3), ("Name in full", 4))),
        )
    )


def _object_table(objects: tuple[BlockO, ...]) -> Table:
    return Table(
        "",
        (
            Column("Object number", 32),
            Column("Title, maker", 50),
            Column("Handling", 56),
            Column("Hazard", 30),
            Column("left", 8, Cell.TICK),
            Column("arrived", 8, Cell.TICK),
        ),
        tuple(
            (
                one.object_number,
                "\n".join(part for part in (one.title, one.maker) if part),
                one.handling_line.removeprefix("Handling: "),
                one.hazard_line.split(": ", 1)[-1],
                "",
                "",
            )
            for one in objects
        ),
    )
