"""What a person does about each reason, played on facts: one deed for each family of codes."""

from dataclasses import replace
from datetime import datetime

from lifecycle.process.facts.showing import ShowingFacts
from lifecycle.process.gates.blocker import Blocker
from lifecycle.process.words import ReportKind
from tests.process.lawful import FULL, A, B, lawful, put

_REPORT_OF = {
    "baseline": ReportKind.BASELINE,
    "look": ReportKind.BEFORE_INSTALL,
    "treatment.check": ReportKind.AFTER_TREATMENT,
    "rotation.off_going": ReportKind.OFF_GOING_FACE,
    "rotation.feature": ReportKind.OFF_GOING_FACE,
    "rotation.on_coming": ReportKind.ON_COMING_FACE,
    "rotation.photo": ReportKind.ON_COMING_FACE,
    "part_a": ReportKind.DEINSTALL_AT_CASE,
    "part_b": ReportKind.DEINSTALL_AT_BENCH,
    "change": ReportKind.DEINSTALL_AT_BENCH,
    "courier.deinstall": ReportKind.DEINSTALL_AT_BENCH,
}
_COPIED = {
    "request": ("request", "faces", "exhibition", "object"),
    "takeover": ("take_over",),
    "answer": ("answer",),
    "face": ("faces",),
    "object.elsewhere": ("object.others",),
    "booking": ("object.others",),
    "account": ("light",),
    "lender": ("home.loan",),
    "loan": ("home.loan",),
    "object.held": ("object.holds",),
    "object.back": ("object.at_home",),
    "assessment": ("assessment",),
    "finding": ("asked_again",),
    "imaging": ("preparation.imaging",),
    "facsimile": ("preparation.facsimiles",),
    "mount": ("preparation.mounts",),
    "caption": ("preparation.caption",),
    "place": ("place",),
    "case": ("preparation.case",),
    "light": ("preparation.light_proof", "light"),
    "light.no_ceiling": ("light",),
    "route": ("preparation.route",),
    "hazards": ("object.hazards",),
    "ink": ("object.ink",),
    "install": ("display.install", "display.show_again"),
    "courier": ("display.install", "display.show_again"),
    "rotation.check": ("display.show_again",),
    "rotation.facsimile": ("display.show_again",),
    "companion": ("object.companions",),
    "movement": ("home.movements",),
    "position": ("display.position_taken_by",),
    "takedown": ("display.take_down",),
    "housing": ("preparation.housing",),
    "incident": ("home.open_incidents",),
    "paper": ("home.papers_out",),
    "resting": ("home.resting_stored",),
    "next": ("next",),
    "withdraw": ("request.substitute",),
}


def _best(table: dict[str, object], code: str) -> str | None:
    found = [prefix for prefix in table if code == prefix or code.startswith(f"{prefix}.")]
    return max(found, key=len, default=None)


def _take(facts: ShowingFacts, path: str) -> ShowingFacts:
    value: object = FULL
    for name in path.split("."):
        value = getattr(value, name)
    return put(facts, path, value)


def write_report(facts: ShowingFacts, kind: ReportKind, at: datetime) -> ShowingFacts:
    """A fresh signed report of that kind, complete in every way."""
    like = next((r for r in FULL.reports if r.kind is kind), FULL.reports[0])
    report = replace(
        like,
        uid=f"{kind} {at.isoformat()}",
        report_no=f"CR {kind} {at:%d.%m.%Y}",
        kind=kind,
        examined_at=at,
        examined_on=at.date(),
        faces=frozenset({A, B}),
    )
    unsigned = [r for r in facts.reports if not r.signed and r.kind is kind]
    return put(facts, "reports", (*(r for r in facts.reports if r not in unsigned), report))


def mend(facts: ShowingFacts, blocker: Blocker, move: str) -> ShowingFacts:
    """Do what the reason asks, and nothing else that could also help."""
    code = blocker.code
    if code.startswith(("proposal", "consent", "treatment")) and code != "treatment.check":
        after = move == "aftercare" or (move == "finish_treatment" and facts.aftercare)
        done = tuple(replace(p, aftercare=after) for p in lawful(move).proposals)
        return put(facts, "proposals", done)
    if code.startswith("decline"):
        return put(facts, "answer", lawful("decline").answer)
    if code == "report.unsigned":
        signed = tuple(r for r in facts.reports if r.signed)
        return put(facts, "reports", signed)
    kind = _best(dict(_REPORT_OF), code)
    if kind is not None:
        return write_report(facts, _REPORT_OF[kind], facts.moment)
    copied = _best(dict(_COPIED), code)
    assert copied is not None, f"nobody knows what to do about {code}"
    for path in _COPIED[copied]:
        facts = _take(facts, path)
    return facts
