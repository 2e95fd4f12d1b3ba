"""What each light of examination shows, for the help and beside the pictures. Pure.

Common practice, in our own words; nothing here is a rule.
"""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from lifecycle.process.words import LightKind

SHOWS: Final[Mapping[LightKind, str]] = MappingProxyType(
    {
        LightKind.DIFFUSE: "Even light from two sides: the overall state and the colours.",
        LightKind.RAKING: (
            "Light that grazes the surface shows relief, folds and lifting edges; also cockling, "
            "incisions and flaking. Sheets weaken and split along folds, so look there twice. "
            "Write down the side the light comes from."
        ),
        LightKind.TRANSMITTED: (
            "Light through the sheet shows thickness, layers and repairs; also watermarks, thin "
            "spots, and cracks in inked areas."
        ),
        LightKind.AXIAL: (
            "Light along the line of sight shows gloss: burnished and skinned places, fixatives, "
            "fingerprints."
        ),
        LightKind.UV_FLUORESCENCE: (
            "What glows or stays dark under a UV lamp shows retouching, varnish, old mould, "
            "adhesives, brightened paper and the halo of an ink."
        ),
        LightKind.NEAR_INFRARED: (
            "Iron-gall ink grows faint or vanishes, carbon stays dark: overwritten and "
            "underdrawn lines come out."
        ),
        LightKind.MAGNIFIED: "Fibres, the edge of a crack, the layers of a medium.",
    }
)
