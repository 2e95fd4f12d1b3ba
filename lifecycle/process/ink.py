"""Iron-gall ink: the four published levels of its corrosion, what each asks of hands, spot tests.

Four levels named good, fair, poor and bad, judged by eye: Netherlands institute, information
sheet 1 of 2001 (Reissland and Hofenk de Graaff); names and purpose after that sheet, definitions
in our own words from memory. What each asks of handling is common practice, and house rules say
from which level it binds. What the spot test tells is common practice, from memory.
"""

from enum import IntEnum
from typing import Final

from lifecycle.process.words import Word


class InkLevel(IntEnum):
    GOOD = 1
    FAIR = 2
    POOR = 3
    BAD = 4

    @property
    def label(self) -> str:
        return f"{self.value} {self.name.lower()}"

    @property
    def seen(self) -> str:
        """What is seen at this level."""
        return _SEEN[self]

    @property
    def handling(self) -> str:
        """What the level asks of everybody who handles the object."""
        return _HANDLING[self]


_SEEN: Final = {
    InkLevel.GOOD: (
        "Lines crisp; no discolouration around them or on the back, or a slight one; a faint "
        "halo under UV at most."
    ),
    InkLevel.FAIR: "Dark brown halo, or strike-through on the back; no mechanical damage.",
    InkLevel.POOR: "Cracks in inked areas, seen in raking or transmitted light.",
    InkLevel.BAD: "Pieces loose or lost in inked areas.",
}
_HANDLING: Final = {
    InkLevel.GOOD: "ordinary careful handling; keep it from damp.",
    InkLevel.FAIR: (
        "support the sheet whenever it is turned, do not flex it; steady air below 60 % RH."
    ),
    InkLevel.POOR: (
        "flat and supported at all times, no free turning of leaves, no mount that pulls, a "
        "conservator present; no loan without a decision on treatment."
    ),
    InkLevel.BAD: (
        "do not handle, do not display; only a conservator moves it, with all its fragments; show "
        "a facsimile."
    ),
}


class InkMethod(Word):
    """How an area was looked at."""

    BY_EYE = "by_eye"
    RAKING = "raking"
    TRANSMITTED = "transmitted"
    UV = "uv"

    @property
    def label(self) -> str:
        return _METHODS.get(self.value, super().label)


_METHODS: Final = {"raking": "raking light", "transmitted": "transmitted light", "uv": "UV"}


class SpotTest(Word):
    """A test of one small spot with a strip of bathophenanthroline paper."""

    FREE_IRON = "free_iron"
    TOTAL_IRON = "total_iron"

    @property
    def label(self) -> str:
        return _TESTS[self.value]


_TESTS: Final = {
    "free_iron": "iron(II), bathophenanthroline",
    "total_iron": "total iron, after a reducing step",
}
#: The cautions that stand before the form of a spot test.
SPOT_TEST_CAUTIONS: Final = (
    "The test wets the ink. A small spot on the back of a broad stroke, blotted on both sides at "
    "once; never on ink that is cracked or broken (levels 3 and 4).",
    "An ink that ran once in water may run again: look for tide lines on both faces first.",
    "Copying inks stay soluble, and on a copy they sit on the back of the sheet.",
    "A test needs consent; name the consent with it.",
)


def spot_test_means(test: SpotTest, colour: int) -> str:
    """What a colour of the strip, 0 none to 4 intense, says and what it does not.

    >>> spot_test_means(SpotTest.FREE_IRON, 0)
    'None found in this spot: no proof of safety, since iron(III) or acid may remain.'
    """
    if test is SpotTest.TOTAL_IRON:
        if colour == 0:
            return "No iron found in this spot, free or bound: another ink or colour is likely."
        return "Iron is there, free or bound; it says nothing of how much of it moves now."
    if colour == 0:
        return "None found in this spot: no proof of safety, since iron(III) or acid may remain."
    return (
        "Free iron(II) that moves now, which speaks for iron-gall ink; other inks and colours "
        "with iron give it too. The strength of the colour is a rough measure only."
    )
