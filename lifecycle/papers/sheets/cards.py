"""Labels: their sizes [mm] and the order in which they are read."""

from lifecycle.papers.sheets.shared import head_of
from lifecycle.papers.words.blocks import Card, SheetPlan
from lifecycle.papers.words.cards import (
    FacsimileLabelWords,
    HousingLabelWords,
    MountLabelWords,
    ObjectTagWords,
)
from lifecycle.papers.words.parts import BlockO
from lifecycle.process.words import Hazard

TAG = (70.0, 40.0)
HOUSING = (105.0, 74.0)
SMALL = (50.0, 25.0)
BACK = (105.0, 37.0)

STORE_TEXT = 11
"""What is read in a store at arm's length, where there is room for it: our own choice [points]."""

CAPTION_TEXT = 18
"""What a visitor reads in a gallery at 50 lx, over a case [points]; common practice for labels."""

LEAST_CAPTION_TEXT = 14
"""A caption goes no smaller than this, our own floor [points]: a long one takes a second label."""


def object_tag_sheet(words: ObjectTagWords) -> SheetPlan:
    """The tag names the object and stays with it as long as the exhibition lasts."""
    about = words.about
    tag = Card(
        "Object tag",
        *TAG,
        number=about.object_number,
        number_size=16,
        title=" · ".join(part for part in (about.exhibition_number, about.title) if part),
        hazard_line=_named(about),
        hazard_sign=about.hazardous,
        orientation=about.orientation,
        orientation_words=_held(about.orientation, about.orientation_words),
        lines=("Leave with object.",),
        qr_mm=16,
    )
    return SheetPlan(head_of("Object tag", words.institution, about, pencil=False), (tag,))


def housing_label_sheet(words: HousingLabelWords) -> SheetPlan:
    """The label of the housing, and one of its own for the hazards where there are any."""
    about = words.about
    label = Card(
        "Housing label",
        *HOUSING,
        number=about.object_number,
        title=about.title,
        hazard_line=_named(about),
        hazard_sign=about.hazardous,
        orientation=words.orientation,
        orientation_words=_held(words.orientation, words.orientation_words),
        rows=(
            ("Inside", words.contents),
            *_said(("Lift", words.lift), ("Weight", words.weight)),
            ("Housing", words.kind),
            ("Board", words.board),
            ("Light sensitivity", words.sensitivity),
            *(("Resting", line) for line in words.resting),
            ("Made", words.made),
        ),
        text_size=STORE_TEXT,
        foot=words.housing_no,
        picture=words.picture,
        qr_mm=20,
    )
    cards = [label]
    if about.hazardous:
        cards.append(_hazard_label(words))
    return SheetPlan(head_of("Housing label", words.institution, about, pencil=False), tuple(cards))


def _hazard_label(words: HousingLabelWords) -> Card:
    about = words.about
    return Card(
        "Hazard label",
        *HOUSING,
        number=about.object_number,
        title="Read before opening",
        hazard_line=about.hazard_line,
        hazard_sign=True,
        lines=about.cautions,
        text_size=STORE_TEXT,
        foot=words.housing_no,
        qr_mm=20,
    )


def mount_label_sheet(words: MountLabelWords) -> SheetPlan:
    """The small label of a tray or mount."""
    label = Card(
        "Mount label",
        *SMALL,
        number=words.mount_no,
        number_size=12,
        title=words.about.object_number,
        hazard_line=_named(words.about).split(": ", 1)[-1] if words.about.hazardous else "",
        hazard_sign=words.about.hazardous,
        lines=(words.faces,),
        qr_mm=13,
    )
    head = head_of("Mount label", words.institution, words.about, pencil=False)
    return SheetPlan(head, (label,))


def facsimile_label_sheet(words: FacsimileLabelWords) -> SheetPlan:
    """Three labels: for the back, for the caption, for the box. None can be taken for the object's.

    The object's number stands behind the words 'Copy of', the facsimile's own stands large.
    """
    about = words.about
    copied = about.object_number
    if about.face is not None:
        copied = f"{copied}, {about.face.label}"
    back = Card(
        "Back mark",
        *BACK,
        number=words.facsimile_no,
        number_size=16,
        title="Not the original",
        lines=(f"Copy of {copied}.", words.back_mark, f"Made {words.made}."),
        text_size=STORE_TEXT,
        qr_mm=16,
    )
    public = Card(
        "Line for the caption",
        *HOUSING,
        number="Facsimile",
        number_size=18,
        word=True,
        text_size=CAPTION_TEXT,
        least_size=LEAST_CAPTION_TEXT,
        title=about.title,
        lines=(words.public_line, words.rests),
        foot=f"{words.facsimile_no} · Copy of {copied}",
        qr_mm=0,
    )
    box = Card(
        "Box label",
        *HOUSING,
        number=words.facsimile_no,
        title=f"Facsimile, not the original: {about.title}",
        rows=(
            ("Copy of", copied),
            ("Size", words.size),
            ("Print", words.method),
            ("May be handled", words.handled),
            ("After the show", words.after_show),
            ("Made", words.made),
        ),
        lines=("Never closed in with the original.",),
        text_size=STORE_TEXT,
        qr_mm=20,
    )
    head = head_of("Facsimile labels", words.institution, about, pencil=False)
    return SheetPlan(head, (back, public, box))


def _named(about: BlockO) -> str:
    """The hazards by name alone; who opens the housing finds the rest on the hazard label."""
    told = [Hazard(value) for value in about.hazards]
    if Hazard.NOT_ASSESSED in told or told == [Hazard.NONE_KNOWN]:
        return about.hazard_line
    return f"{'Hazard' if len(told) == 1 else 'Hazards'}: {', '.join(one.label for one in told)}"


def _held(orientation: str, words: str) -> str:
    return "" if orientation == "any" else words


def _said(*rows: tuple[str, str]) -> tuple[tuple[str, str], ...]:
    return tuple(row for row in rows if row[1])
