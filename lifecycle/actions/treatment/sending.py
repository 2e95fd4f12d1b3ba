"""Send a version for consent: the author signs it, and from then on it is frozen."""

from collections.abc import Iterator
from datetime import datetime
from types import MappingProxyType
from typing import Final

from django.db import transaction

from lifecycle.actions.allowing import allow
from lifecycle.actions.refusals import Reason, Refused
from lifecycle.actions.signing import Hand, sign
from lifecycle.actions.treatment.weighing import unweighed
from lifecycle.actions.treatment.writing import undone_by
from lifecycle.process.rights import NOTHING, Deed
from lifecycle.process.words import SignCapacity
from lifecycle.queries.rights import about_showing
from lifecycle.queries.treatment.consenting import community_needed
from lifecycle.records.models.treatment import Proposal, ProposalVersion, RemovedMatter, Undo

WANTED: Final = MappingProxyType(
    {
        "based_on": "Name the signed report it rests on.",
        "aim": "Choose the aim.",
        "aim_text": "Say the aim in words.",
        "why": "Say why the chosen option.",
        "stop_rules": "Say what would make you stop and ask again.",
        "hours_est": "Estimate the hours.",
        "finish_by": "Give the day it will be finished by.",
    }
)
"""What a version needs before it is sent, by field, each with the reason that says so."""


@transaction.atomic
def send_version(*, hand: Hand, at: datetime, version: ProposalVersion) -> ProposalVersion:
    """Sign and send a version. Everybody it needs then finds it on Today.

    :raises Refused: with everything that is still missing, or if it was sent already
    """
    # The proposal is held first: nobody drops it, or begins its next version, while one is sent.
    Proposal.objects.select_for_update().get(pk=version.proposal_id)
    held = (
        ProposalVersion.objects.select_for_update(of=("self",))
        .select_related("proposal__museum_object", "proposal__showing", "based_on")
        .get(pk=version.pk)
    )
    showing = held.proposal.showing
    about = NOTHING if showing is None else about_showing(showing)
    allow(by=hand.person, role=hand.role, deed=Deed.TREAT, at=at, about=about)
    name = f"v{held.version} of {held.proposal.proposal_no}"
    if held.signed:
        raise Refused(Reason(f"{name} was sent already.", code="proposal.sent"))
    if held.proposal.dropped_at is not None:
        raise Refused(f"{held.proposal.proposal_no} was dropped: open a new proposal.")
    if reasons := list(missing_of(held, at)):
        raise Refused(reasons)
    _settle(held, hand=hand, at=at)
    sign(record=held, capacity=SignCapacity.AUTHOR, hand=hand, at=at)
    return held


def _settle(version: ProposalVersion, *, hand: Hand, at: datetime) -> None:
    """Write down what the version is sent with: which community is asked, and if it can be undone.

    A draft of the time when the second was asked twice says what its chosen option says.
    """
    chosen = version.options.filter(left_out=False, chosen=True)
    said = undone_by([Undo(option.undo) for option in chosen])
    community = community_needed(version)
    if version.reversible is not said or version.community != community:
        version.reversible, version.community = said, community
        why = "as its chosen option and the card of the object say"
        fields = ["reversible", "community"]
        version.keep(by=hand.person, role=hand.role, why=why, at=at, fields=fields)


def missing_of(version: ProposalVersion, at: datetime) -> Iterator[Reason]:
    """Yield what keeps a version from being sent, each at its field.

    ``at``: the cautions are asked as they stand on that day.
    """
    options = list(version.options.filter(left_out=False))
    for field, text in WANTED.items():
        if getattr(version, field) in (None, ""):
            yield Reason(text, field)
    if not version.steps.filter(left_out=False).exists():
        yield Reason("Name at least one step.", "steps")
    if len(options) < 2:
        text = "Weigh at least one option beside ‘do nothing’, which is always one."
        yield Reason(text, "options")
    chosen = [option for option in options if option.chosen]
    if not chosen:
        yield Reason("Choose one of the options.", "options")
    elif chosen[0].do_nothing:
        text = "‘Do nothing’ is chosen: drop the proposal; no consent is needed for it."
        yield Reason(text, "options")
    elif Undo(chosen[0].undo) is Undo.NOTHING_DONE:
        yield Reason("Say of the chosen option whether it can be undone.", "options")
    if version.removed_matter != RemovedMatter.NONE and not version.removed_where:
        yield Reason("Say what becomes of removed matter, and where it is.", "removed_where")
    yield from unweighed(version, at)
