"""What the demo's conservator proposes: one plan for each object that is treated."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from types import MappingProxyType
from typing import Final

from lifecycle.process.bench_cautions import Brings, Trait
from lifecycle.records.models.treatment import Aim, RemovedMatter


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """The words of a proposal; ``materials`` are keys of the stock, ``steps`` codes of steps.

    ``reasons`` say why it goes on in spite of a caution that the object and a step raise.
    """

    aim_text: str
    why: str
    tests_first: str
    effect_on_display: str
    stop_rules: str
    nothing_risks: str
    option: str
    gain: str
    risk: str
    limits: str
    steps: tuple[str, ...]
    materials: tuple[str, ...]
    state: str = ""
    hours: Decimal = Decimal(3)
    aim: Aim = Aim.STABILISE
    removed: RemovedMatter = RemovedMatter.NONE
    removed_where: str = ""
    reasons: Mapping[tuple[Trait, Brings], str] = field(
        default_factory=lambda: MappingProxyType({})
    )


EDGE: Final = Plan(
    aim_text="Keep the edge from catching when the sheet is mounted and carried.",
    why="The tear is short and dry mending with tissue can be taken off again.",
    tests_first="Water drop test of the image at the edge, under the mount's line.",
    effect_on_display="The sheet can be hinged at two points; no change of light.",
    stop_rules="The image reacts to moisture, or the tear runs on.",
    nothing_risks="The tear may run on when it is hinged.",
    option="Mend with tissue and a low-moisture adhesive.",
    gain="The edge holds.",
    risk="A faint edge of tissue in raking light.",
    limits="No moisture on the image itself.",
    steps=("surface-clean", "mend"),
    materials=("tissue",),
)
"""A blue print with an edge that catches."""

PLATE: Final = Plan(
    state=(
        "Sound sheet with an edge tear of 24 mm in the lower margin, clear of the paint. Two old "
        "paper hinges pull at the top edge. The pink lake is fresh and may be moved by water."
    ),
    aim_text="Let the plate hang from new hinges, with a margin that holds.",
    why="The tear lies 40 mm from the paint, so that a nearly dry paste can be kept away from it.",
    tests_first="One drop of water, 1 mm wide, at the edge of the pink of the upper cloud.",
    effect_on_display="Hangs from two hinges at the top edge; no change of light.",
    stop_rules="Pink on the blotter nearer than 20 mm to the tear, or the sheet cockles.",
    nothing_risks="The old hinges tear out of the top edge when the plate hangs.",
    option="Renew the hinges; mend the margin with long-fibred tissue and stiff paste.",
    gain="The plate hangs free and the margin holds.",
    risk="A tide line, should the paste be too wet.",
    limits="No paste nearer than 20 mm to the paint.",
    steps=("test", "surface-clean", "rehinge", "mend"),
    materials=("tissue", "paste"),
    hours=Decimal("4.5"),
    removed=RemovedMatter.KEPT_WITH_FILE,
    removed_where="Old hinges in the object file, envelope 2.",
    reasons=MappingProxyType(
        {
            (Trait.SOLUBLE_MEDIUM, Brings.MOISTURE): (
                "The paste is stiff, goes on with a fine brush in the blank margin 40 mm from the "
                "paint, and dries between blotters."
            ),
        }
    ),
)
"""A watercolour whose pink runs."""

LETTER: Final = Plan(
    state=(
        "One folded sheet, written on both sides in iron-gall ink rated 2, fair. The middle fold "
        "has split for 46 mm in the blank margin, and the sheet springs up along it."
    ),
    aim=Aim.FIT_FOR_MOUNT,
    aim_text="Let the letter lie open in its mount without strain on the fold.",
    why="Little, slow damp from the blank margin relaxes the fold and leaves the lines dry.",
    tests_first="Strip test for free iron on a broad stroke of the second line; a drop beside it.",
    effect_on_display="Lies open at rest; light as in the assessment.",
    stop_rules="Free iron in the test, a halo that grows, or any movement of the ink.",
    nothing_risks="The split runs on into the writing when the sheet is laid open.",
    option="Relax the fold from its margin; bridge the split with remoistenable tissue.",
    gain="The sheet lies open and the fold carries itself.",
    risk="Damp reaches the ink and carries iron into the clean paper.",
    limits="No damp on the written lines; the fold is relaxed from the blank margin alone.",
    steps=("test", "surface-clean", "flatten", "mend"),
    materials=("remoistenable",),
    hours=Decimal(8),
    reasons=MappingProxyType(
        {
            (Trait.IRON_GALL_INK, Brings.MOISTURE): (
                "The test comes first. Damp stays in the blank margin, 30 mm from the nearest "
                "stroke; the tissue carries gelatine and wants hardly any water."
            ),
            (Trait.IRON_GALL_INK, Brings.HUMIDITY): (
                "Ten minutes below 65 % RH under a mask that leaves the margin free alone."
            ),
        }
    ),
)
"""A letter in iron-gall ink that needs a moist step."""

PLANS: Final[Mapping[str, Plan]] = MappingProxyType(
    {"edge": EDGE, "plate": PLATE, "letter": LETTER}
)
"""By the word of a trip's row."""
