"""The face that a link to a form is about, so that the form chooses it beforehand."""

from collections.abc import Iterable

from django.http import HttpRequest

from lifecycle.records.models.objects import Face


def face_asked(request: HttpRequest, faces: Iterable[Face]) -> Face | None:
    """The face named by ``?face=``, by its label or its uid; None when it is none of these."""
    text = request.GET.get("face", "").strip()
    if not text:
        return None
    return next((face for face in faces if text in (face.label, str(face.uid))), None)
