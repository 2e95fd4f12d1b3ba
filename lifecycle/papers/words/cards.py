"""Object tag, housing and hazard label, mount label, labels of a facsimile."""

from dataclasses import dataclass

from lifecycle.papers.words.parts import BlockO, PictureWords


@dataclass(frozen=True, slots=True, kw_only=True)
class ObjectTagWords:
    """The tag that is tied to an object or laid beside it, never stuck on."""

    institution: str
    about: BlockO


@dataclass(frozen=True, slots=True, kw_only=True)
class HousingLabelWords:
    """The label outside a housing; it can be read without any system.

    ``edition`` is that of the specification it was printed from. ``resting`` has one line a face
    that rests, or says why nothing is known yet.
    """

    institution: str
    housing_no: str
    edition: int
    about: BlockO
    picture: PictureWords | None
    contents: str
    kind: str
    board: str
    orientation: str
    orientation_words: str
    lift: str
    weight: str
    sensitivity: str
    resting: tuple[str, ...]
    made: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MountLabelWords:
    institution: str
    mount_no: str
    about: BlockO
    faces: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FacsimileLabelWords:
    """Back mark, line for the caption and label of the box of one facsimile.

    ``rests`` says where the original is, or until when it rests.
    """

    institution: str
    facsimile_no: str
    about: BlockO
    made: str
    back_mark: str
    public_line: str
    rests: str
    size: str
    method: str
    handled: str
    after_show: str
