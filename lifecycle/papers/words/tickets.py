"""The ticket of a mount and of an imaging job; half a sheet, it travels along."""

from dataclasses import dataclass

from lifecycle.papers.words.parts import BlockO


@dataclass(frozen=True, slots=True, kw_only=True)
class MountTicketWords:
    """What the mount maker needs beside the object; sizes in words with their unit."""

    institution: str
    about: BlockO
    mount_no: str
    kind: str
    faces: tuple[str, ...]
    maker: str
    needed_by: str
    because: str
    measured: str
    angle: str
    widest: str
    openings: str
    gutter: str
    contact: str
    restraint: str
    removable: str
    materials: tuple[str, ...]
    steps: tuple[str, ...]
    goes_back: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ImagingTicketWords:
    """What the photographer needs beside the object; ``limit`` is the light it may have at most."""

    institution: str
    about: BlockO
    job_no: str
    purpose: str
    because: str
    due: str
    needed_by: str
    photographer: str
    handler: str
    size: str
    resolution: str
    targets: str
    light: str
    position: str
    limit: str
    widest: str
