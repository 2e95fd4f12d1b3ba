"""The object's card: what the museum needs to know of it to show it and bring it back."""

from lifecycle.actions.objects.beside import (
    Dimensions,
    add_component,
    add_other_number,
    end_companion,
    name_companion,
    set_dimensions,
)
from lifecycle.actions.objects.cards import ObjectDetails, add_object, change_object
from lifecycle.actions.objects.faces import FaceDetails, add_face, change_face
from lifecycle.actions.objects.hazards import HazardDetails, end_hazard, note_hazard

__all__ = [
    "Dimensions",
    "FaceDetails",
    "HazardDetails",
    "ObjectDetails",
    "add_component",
    "add_face",
    "add_object",
    "add_other_number",
    "change_face",
    "change_object",
    "end_companion",
    "end_hazard",
    "name_companion",
    "note_hazard",
    "set_dimensions",
]
