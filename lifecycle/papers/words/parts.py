"""Words that several papers share: the object's block, faces, features, signature lines.

Everything is text, number or truth value already put into words, so that a print can be stored as
JSON and drawn again without asking any other row.
"""

from dataclasses import dataclass

from lifecycle.papers.words.stored import later


@dataclass(frozen=True, slots=True, kw_only=True)
class PictureWords:
    """A stored picture by the hash of its content, with its size in pixels."""

    sha256: str
    width: int
    height: int


@dataclass(frozen=True, slots=True, kw_only=True)
class FaceWords:
    """The side, part or opening meant, and what one sees at its top left."""

    label: str
    kind: str
    landmark: str
    picture: PictureWords | None = None

    @property
    def top_left(self) -> str:
        """The landmark as a sentence part; a record that says 'Top left' itself is not doubled."""
        if "top left" in self.landmark.lower():
            return self.landmark
        return f"Top left: {self.landmark}"


@dataclass(frozen=True, slots=True, kw_only=True)
class BlockO:
    """The block that is the same on every paper: which object this is and how to touch it.

    ``orientation`` is the closed list's value (it chooses the sign), the rest is in words.
    ``cautions`` are whole sentences, one or more for each hazard on the object.
    """

    object_number: str
    exhibition_number: str
    title: str
    maker: str
    date_text: str
    object_type: str
    owner: str
    face: FaceWords | None
    orientation: str
    orientation_words: str
    hazards: tuple[str, ...]
    hazard_line: str
    handling_line: str
    cautions: tuple[str, ...]

    @property
    def hazardous(self) -> bool:
        """Whether there is a hazard, or nobody has assessed it; then a sign is drawn too."""
        return any(hazard != "none_known" for hazard in self.hazards)


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkWords:
    """Where a numbered feature lies on its face, in per cent from the top left of the picture.

    A point has no width and height; a feature known by its zone alone has the zone's box. A line
    or an outline has its corners in ``path`` and the frame around them in the other four. ``at``
    is where the line from its number ends. ``earlier``: marked on an earlier picture of the face,
    so that it lies here only about.
    """

    number: int
    x: float
    y: float
    width: float = 0
    height: float = 0
    by_zone: bool = False
    path: tuple[tuple[float, float], ...] = later(())
    closed: bool = later(False)
    at: tuple[float, float] | None = later(None)
    earlier: bool = later(False)

    @property
    def centre(self) -> tuple[float, float]:
        """Where the line from its number ends."""
        return self.at or (self.x + self.width / 2, self.y + self.height / 2)


@dataclass(frozen=True, slots=True, kw_only=True)
class SpotWords:
    """A reading point on a plan, in per cent from its left and top; ``key`` finds it on a page."""

    label: str
    across: float
    down: float
    key: str = later("")


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanWords:
    """The drawing of a gallery with its lettered points, and what is said below it."""

    name: str
    picture: PictureWords
    spots: tuple[SpotWords, ...]
    caption: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FeatureWords:
    """One known feature as its table row is printed."""

    number: int
    term: str
    layer: str
    zone: str
    size: str
    severity: str
    last_state: str
    note: str
    last_seen_unchanged: str = ""

    @property
    def name(self) -> str:
        """How the feature is called on pictures and in talk: F7."""
        return f"F{self.number}"


@dataclass(frozen=True, slots=True, kw_only=True)
class FacePage:
    """One face with its picture, the features marked on it and their rows.

    ``grid``: left, top, width and height of the face in the picture in per cent, where its edges
    are marked; without it the grid lies over the whole picture.
    """

    face: FaceWords
    features: tuple[FeatureWords, ...]
    marks: tuple[MarkWords, ...]
    next_number: int
    grid: tuple[float, float, float, float] | None = later(None)


@dataclass(frozen=True, slots=True, kw_only=True)
class SignatureWords:
    """A line to sign on: in which capacity, and the name and role where they are known."""

    capacity: str
    name: str = ""
    role: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class DatedLine:
    """Something that happened or is due: when, what, who."""

    when: str
    what: str
    who: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReportWords:
    """An earlier report that a paper is compared with."""

    number: str
    kind: str
    when: str
    who: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LightWords:
    """Light on a face up to a moment, in words with units, and what the figure rests on."""

    total: str
    ceiling: str
    basis: str
    points: tuple[str, ...] = ()
    last_readings: tuple[str, ...] = ()
