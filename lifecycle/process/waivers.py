"""Which gates may be waived, by whom, and which waiver must name its end.

Our own reading of the trade. 'Declare ready' says 'gates met or waived', 'send home' says
'housing fits or waiver with date', 'take in' says 'or an override by the named role'. So the
preparations may be waived by the role whose judgement they are; the light limit only by the head
of collections, which is an override; courier clauses by the registrar with the lender's writing.
Not to be waived at all: request and answer, holds, examination and baseline, consent, treatment
report, a light account that cannot answer, two people at install, part A, part B, signatures of
movements, open incidents, unsigned reports, papers out (a print is marked lost or void instead).
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from lifecycle.process.stages import Role

_HEAD: Final = Role.HEAD_OF_COLLECTIONS


@dataclass(frozen=True, slots=True)
class WaiverRule:
    """``override``: it goes above the rules, and only the head of collections may."""

    roles: frozenset[Role]
    needs_until: bool = False
    override: bool = False


def _by(*roles: Role, needs_until: bool = False) -> WaiverRule:
    return WaiverRule(frozenset({_HEAD, *roles}), needs_until)


_OVERRIDE: Final = WaiverRule(frozenset({_HEAD}), override=True)

WAIVABLE: Final[Mapping[str, WaiverRule]] = MappingProxyType(
    {
        "imaging.open": _by(Role.CONSERVATOR, Role.CURATOR),
        "facsimile.missing": _by(Role.CURATOR),
        "mount.fit": _by(Role.CONSERVATOR),
        "caption.open": _by(Role.CURATOR),
        "case.built": _by(Role.CONSERVATOR),
        "case.curing": _by(Role.CONSERVATOR),
        "case.proof": _by(Role.CONSERVATOR),
        "route.open": _by(Role.REGISTRAR),
        "look.fresh": _by(Role.CONSERVATOR),
        "rotation.facsimile": _by(Role.CURATOR),
        "housing.fits": _by(Role.CONSERVATOR, Role.REGISTRAR, needs_until=True),
        "housing.label": _by(Role.REGISTRAR, needs_until=True),
        "housing.travel": _by(Role.CONSERVATOR, needs_until=True),
        "courier.install": _by(Role.REGISTRAR),
        "courier.turn": _by(Role.REGISTRAR),
        "courier.deinstall": _by(Role.REGISTRAR),
        "light.proof": _OVERRIDE,
        "light.ceiling": _OVERRIDE,
        "install.ceiling": _OVERRIDE,
        "account.resting": _OVERRIDE,
        "account.left": _OVERRIDE,
    }
)
