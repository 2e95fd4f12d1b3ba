"""Preparations that run side by side: imaging, facsimile, mount, caption, case, light, route."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class ImagingFacts:
    """One picture job: done when the person who needs it has accepted the files."""

    uid: str
    job_no: str
    face: str
    purpose: str
    accepted: bool = False
    due_on: date | None = None
    person: str = ""
    person_id: int | None = None
    for_whom_id: int | None = None
    """Who needs the pictures and accepts them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FacsimileFacts:
    """The facsimile of one face; ``placed`` while it stands in the case."""

    uid: str
    face_id: int
    number: str
    approved: bool = False
    delivered: bool = False
    placed: bool = False
    needed_by: date | None = None
    """The day somebody named; nothing while it follows the plan."""

    person: str = ""
    """Who has it in hand."""

    person_id: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class MountFacts:
    """A mount and the faces for which its fit was checked with the object present."""

    uid: str
    number: str
    fits: frozenset[int] = frozenset()
    faces: frozenset[int] = frozenset()
    """Every face it is made for, tried or not."""

    tried: tuple[tuple[int, datetime], ...] = ()
    """The faces it fits, each with when that was tried."""

    needed_by: date | None = None
    """The day somebody named; nothing while it follows the plan."""

    person: str = ""
    """Who makes it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CaptionFacts:
    approved: bool = False
    facsimile_worded: bool = True
    person: str = ""
    """Who writes what is not approved yet."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseFacts:
    """The case of the planned place."""

    built: bool = False
    cleaned: bool = False
    cure_until: date | None = None
    proof: bool = False
    """The climate proof run is recorded, and nobody says that the air left its band in it."""

    outside: bool = False
    """The air left its band during that run."""

    lamp_since: str = ""
    """The lamp that warms the air otherwise since that run: which, when and by whom."""

    buffer_open: str = ""
    """What the buffer still needs."""

    @property
    def is_whole(self) -> bool:
        """Whether all of it is done, but for what still cures."""
        proven = self.proof and not self.lamp_since and not self.buffer_open
        return self.built and self.cleaned and proven


@dataclass(frozen=True, slots=True, kw_only=True)
class LightProof:
    """Lux [lx] and UV [µW/lm] measured in the place with a dummy, before the object enters."""

    lux: Decimal
    uv: Decimal | None
    on: date


@dataclass(frozen=True, slots=True, kw_only=True)
class RouteFacts:
    walked: bool = False
    hazards_read: bool = False
    people: int = 0
    equipment: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class HousingFacts:
    """What the object goes home in."""

    uid: str = ""
    number: str = ""
    specified: bool = False
    fits: bool = False
    """Every unit, the object itself or each of its components, has a housing that fits."""

    not_housed: tuple[str, ...] = ()
    """Labels of the units without one; the object itself is the empty label."""

    label_printed: bool = False
    """Every housing has a label, printed or by hand, that says what the housing is now."""

    labelled_at: datetime | None = None
    """When the oldest of these labels was printed or written."""

    fit_for_travel: bool = False
    person: str = ""
    """Who makes what does not fit yet."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PreparationFacts:
    imaging: tuple[ImagingFacts, ...] = ()
    facsimiles: tuple[FacsimileFacts, ...] = ()
    mounts: tuple[MountFacts, ...] = ()
    caption: CaptionFacts = CaptionFacts()
    case: CaseFacts = CaseFacts()
    light_proof: LightProof | None = None
    light_missing: str = ""
    """Reading points of its place at which it was not measured, though at others it was."""

    light_changed: str = ""
    """What changed the light since it was measured, so that the measuring counts no more."""

    route: RouteFacts = RouteFacts()
    housing: HousingFacts = HousingFacts()

    def facsimile_of(self, face_id: int) -> FacsimileFacts | None:
        """Return the facsimile of a face, the one furthest on if there are several."""
        of_face = [line for line in self.facsimiles if line.face_id == face_id]
        return max(of_face, key=lambda f: (f.placed, f.delivered, f.approved), default=None)

    def mount_fits(self, face_id: int) -> bool:
        return any(face_id in mount.fits for mount in self.mounts)

    def tried_at(self, face_id: int) -> datetime | None:
        """Return when a mount was last tried on a face and fitted."""
        tried = [at for mount in self.mounts for face, at in mount.tried if face == face_id]
        return max(tried, default=None)
