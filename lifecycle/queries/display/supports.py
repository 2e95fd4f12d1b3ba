"""What holds a face in its place: the mount that was made for it for this showing."""

from lifecycle.records.models.objects import Face
from lifecycle.records.models.preparation import Mount, MountFace
from lifecycle.records.models.showings import Showing


def mount_of(showing: Showing, face: Face) -> Mount | None:
    """Return the newest mount in use for this face, or nothing; one query."""
    row = (
        MountFace.objects.filter(
            face=face, dropped=False, mount__retired_at=None, mount__showing=showing
        )
        .select_related("mount__kind")
        .order_by("-mount__asked_at", "-pk")
        .first()
    )
    return row.mount if row else None


def mount_words(mount: Mount) -> str:
    """Its number, what it is, and the angle it is set to.

    >>> from lifecycle.records.models import Word
    >>> mount_words(Mount(mount_no="MT-0004", kind=Word(label="cradle"), angle_deg=110))
    'MT-0004, cradle, 110°'
    """
    angle = f"{mount.angle_deg}°" if mount.angle_deg is not None else ""
    return ", ".join(part for part in (f"{mount.mount_no}, {mount.kind.label}", angle) if part)
