"""From a reason to the page that mends it: names of addresses, no address itself.

``pages`` turns a name into a link, the morning letter into a full address.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final
from urllib.parse import quote_plus

from lifecycle.process.facts.showing import ShowingFacts
from lifecycle.process.subjects import subject_uid


@dataclass(frozen=True, slots=True)
class Errand:
    """One page by name. ``uid`` is the record in its address; none for pages without one."""

    url_name: str
    word: str
    uid: str = ""
    query: str = ""
    name: str = ""

    @property
    def url_kwargs(self) -> dict[str, str]:
        """What the address takes: a record's uid, and a move's name where there is one."""
        return {key: value for key, value in (("uid", self.uid), ("name", self.name)) if value}


@dataclass(frozen=True, slots=True)
class _Page:
    """``subject``: page of the record the reason is about, when there is one already.

    ``showing``: page that takes the showing. ``plain``: page without a record. ``begin``: the word
    while there is no such record yet, where the page then begins one. ``by_face``: the reason is
    about a face, which the form chooses beforehand.
    """

    word: str
    subject: str = ""
    showing: str = ""
    plain: str = ""
    query: str = ""
    begin: str = ""
    by_face: bool = False


def _start(kind: str) -> _Page:
    return _Page("Write the report", showing="condition-start", query=f"kind={kind}")


_ANSWER = _Page("Answer the request", showing="request-answer")
_DECLINE = _Page("Decline", showing="decline")
_ASSESS = _Page("Assess", showing="assess")
_PROPOSALS = _Page("Open the proposals", subject="proposal", showing="proposals-of")
_LEAVE = _Page("Record the lender's leave", showing="lender-leave")
_LOAN = _Page("Open the loan", subject="loan", plain="loans")
_ACCOUNT = _Page("Open the light account", subject="light-object")
_CASE = _Page("Record the case", showing="case-readiness")
_PROOF = _Page("Record the light", showing="light-proof")
_ROUTE = _Page("Record the route", showing="route")
_INSTALL = _Page("Fill in the install check", showing="install")
_AGAIN = _Page("Show it again", showing="show-again")
_DOWN = _Page("Take it down", showing="take-down")
_PART_A = _Page("Open part A", showing="part-a")
_PART_B = _Page("Open part B", showing="part-b")
_HOUSING = _Page("Open the housing", showing="housing-of")
_CARRY = _Page("Open the movement", subject="movement", plain="movement-new")
_WITHDRAW = _Page("Withdraw", showing="withdraw")
_PASS_ON = _Page("Pass it on", showing="pass-on")
_PLAN = _Page("Plan the day", showing="appointment-new")
_FACSIMILE = _Page(
    "Open the facsimile",
    subject="facsimile",
    showing="facsimile-ask",
    begin="Ask for the facsimile",
    by_face=True,
)

PAGES: Final[Mapping[str, _Page]] = MappingProxyType(
    {
        "answer.missing": _ANSWER,
        "answer.no": _ANSWER,
        "decline.answer": _DECLINE,
        "decline.grounds": _DECLINE,
        "decline.inputs": _DECLINE,
        "account.missing": _ACCOUNT,
        "account.left": _ACCOUNT,
        "account.resting": _ACCOUNT,
        "light.account": _ACCOUNT,
        "lender.leave": _LEAVE,
        "lender.refused": _LEAVE,
        "loan.agreement": _LOAN,
        "loan.clauses": _LOAN,
        "loan.exit": _LOAN,
        "loan.receipt": _LOAN,
        "loan.end": _LOAN,
        "object.held": _Page("Decide on the hold", subject="hold"),
        "baseline.report": _start("baseline"),
        "assessment.missing": _ASSESS,
        "assessment.not_fit": _ASSESS,
        "proposal.missing": _Page("Write a proposal", showing="proposal-start"),
        "consent.missing": _PROPOSALS,
        "consent.unanswered": _PROPOSALS,
        "consent.asked": _Page("Read and decide", subject="consent", showing="proposals-of"),
        "consent.writing": _Page(
            "Read the writing back", subject="consent-writing", showing="proposals-of"
        ),
        "consent.community": _Page(
            "Put the answer on record", subject="consent-community", showing="proposals-of"
        ),
        "deviation.answer": _Page(
            "Put the answer on record", subject="deviation-answer", showing="proposals-of"
        ),
        "deviation.asked": _Page("Read and decide", subject="deviation", showing="proposals-of"),
        "treatment.report": _PROPOSALS,
        "treatment.images": _Page(
            "Put the pictures side by side",
            subject="treatment-report",
            showing="proposals-of",
            by_face=True,
        ),
        "treatment.deviation": _PROPOSALS,
        "finding.asked": _Page("See the finding", subject="treatment-finding"),
        "treatment.check": _start("after_treatment"),
        "imaging.open": _Page("Open the job", subject="imaging", showing="imaging-ask"),
        "facsimile.missing": _FACSIMILE,
        "mount.fit": _Page(
            "Check the fit",
            subject="fit-check",
            showing="mount-ask",
            begin="Ask for a mount",
            by_face=True,
        ),
        "caption.open": _Page("Open the caption", showing="caption"),
        "place.planned": _Page("Name the position", showing="plan-place"),
        "case.built": _CASE,
        "case.curing": _CASE,
        "case.proof": _CASE,
        "light.proof": _PROOF,
        "light.ceiling": _PROOF,
        "light.no_ceiling": _ASSESS,
        "route.open": _ROUTE,
        "route.hazards": _ROUTE,
        "route.slip": _Page("Plan the movement", plain="movement-new"),
        "hazards.open": _Page("Record the hazards", subject="hazard-new"),
        "look.fresh": _start("before_install"),
        "ink.level": _Page("See the ratings", subject="object-ink"),
        "ink.sign_off": _Page("Sign it off", subject="object-ink"),
        "install.check": _INSTALL,
        "install.two": _INSTALL,
        "install.mount": _INSTALL,
        "install.face": _INSTALL,
        "install.way_up": _INSTALL,
        "install.photo": _INSTALL,
        "install.lux": _INSTALL,
        "install.ceiling": _INSTALL,
        "install.uv": _INSTALL,
        "courier.install": _INSTALL,
        "companion.apart": _Page("Let it stand alone", showing="stand-alone"),
        "companion.missing": _Page("Let it stand alone", showing="stand-alone"),
        "movement.received": _CARRY,
        "movement.home": _CARRY,
        "movement.next": _CARRY,
        "movement.arrival": _Page("Confirm the arrival", subject="movement-confirm"),
        "object.back": _CARRY,
        "position.taken": _Page("Name another position", showing="plan-place"),
        "rotation.off_going": _start("off_going_face"),
        "rotation.feature": _start("off_going_face"),
        "rotation.on_coming": _start("on_coming_face"),
        "rotation.photo": _start("on_coming_face"),
        "rotation.check": _AGAIN,
        "rotation.facsimile": _AGAIN,
        "courier.turn": _AGAIN,
        "companion.named": _DOWN,
        "takedown.lamps": _DOWN,
        "takedown.light": _DOWN,
        "takedown.reason": _DOWN,
        "takedown.told": _DOWN,
        "part_a.missing": _PART_A,
        "part_a.countersign": _PART_A,
        "part_b.missing": _PART_B,
        "part_b.compared": _PART_B,
        "part_b.light": _PART_B,
        "part_b.feature": _PART_B,
        "change.answer": _PART_B,
        "change.incident": _Page("Write the incident", plain="incident-new"),
        "courier.deinstall": _PART_B,
        "housing.fits": _HOUSING,
        "housing.label": _HOUSING,
        "housing.travel": _HOUSING,
        "incident.open": _Page("Open the incident", subject="incident"),
        "report.unsigned": _Page("Sign the report", subject="condition-report"),
        "paper.out": _Page("Open the papers", plain="papers"),
        "resting.stored": _Page("Send it home", showing="send-home"),
        "next.missing": _PASS_ON,
        "next.answer": _PASS_ON,
        "next.account": _PASS_ON,
        "withdraw.substitute": _WITHDRAW,
        "plan.install": _PLAN,
        "plan.take_down": _PLAN,
        "turn.plan": _PLAN,
        "turn.planned": _PLAN,
        "turn.people": _Page("Name the people", subject="appointment-move"),
        "turn.late": _Page("Turn it", showing="turn"),
        "light.reading": _Page("Take the reading", subject="reading-take"),
        "look.due": _Page("Look at it", subject="looks"),
        "look.flag": _Page("Answer the flag", subject="look-answer"),
    }
)

MOVE_PAGES: Final[Mapping[str, str]] = MappingProxyType(
    {
        "decline": "decline",
        "withdraw": "withdraw",
        "install": "install",
        "start_rotation": "turn",
        "show_again": "show-again",
        "take_down": "take-down",
        "send_home": "send-home",
        "pass_on": "pass-on",
    }
)
"""Moves whose evidence is written on a page of their own; all others have the plain move page."""


def errand_of(code: str, about: str, facts: ShowingFacts, *, subject: str = "") -> Errand | None:
    """Return the page that mends this reason, or None when the showing's own page does."""
    if code.startswith("move."):
        name = code.removeprefix("move.")
        if name in MOVE_PAGES:
            return Errand(MOVE_PAGES[name], "Do it now", facts.uid)
        return Errand("move", "Do it now", facts.uid, name=name)
    page = PAGES.get(code)
    if page is None:
        return None
    if code == "companion.apart" and (beside := _companion(about, facts)) is not None:
        return beside
    found = subject or subject_uid(facts, code, about)
    query = page.query
    if page.by_face and about in {face.label for face in facts.faces}:
        query = f"face={quote_plus(about)}"
    if page.subject and found:
        return Errand(page.subject, page.word, found, query)
    if page.showing:
        return Errand(page.showing, page.begin or page.word, facts.uid, query)
    if page.plain:
        return Errand(page.plain, page.word, query=f"showing={facts.uid}")
    return None


def _companion(about: str, facts: ShowingFacts) -> Errand | None:
    """Where a companion is planned: on its own showing here, or asked for when there is none."""
    named = [one for one in facts.object.companions if one.object_number == about]
    for one in named:
        if one.showing_uid:
            return Errand("showing", "Plan it together", one.showing_uid)
        if one.uid and facts.exhibition.uid:
            uid, query = facts.exhibition.uid, f"object={one.uid}"
            return Errand("request-new", "Ask for it too", uid, query)
    return None
