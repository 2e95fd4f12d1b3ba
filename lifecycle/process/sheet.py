"""The process as Markdown, for the handbook and the help page, so that neither can drift."""

from collections.abc import Sequence

from lifecycle.process.moves import MOVES
from lifecycle.process.readiness import READY_GATES
from lifecycle.process.rights import OWN, RIGHTS
from lifecycle.process.stages import CLOSED, Role, Stage
from lifecycle.process.switches import ALWAYS, SWITCHED
from lifecycle.process.waivers import WAIVABLE


def _words(name: str) -> str:
    return name.replace("_", " ")


def _table(head: tuple[str, ...], rows: Sequence[tuple[str, ...]]) -> list[str]:
    lines = [f"| {' | '.join(head)} |", f"|{' --- |' * len(head)}"]
    return lines + [f"| {' | '.join(row)} |" for row in rows]


def process_sheet() -> str:
    """Return stages, moves, gates, switches, waivers and rights as Markdown tables."""
    parts = ["### Stages", *_stages(), "", "### Moves", *_moves(), "", "### Readiness", *_gates()]
    parts += ["", "### What can be left out", *_switches()]
    parts += ["", "### Waivers", *_waivers(), "", "### Rights", *_rights()]
    return "\n".join(parts) + "\n"


def _stages() -> list[str]:
    rows = []
    for stage in Stage:
        out = [move.label.lower() for move in MOVES.values() if stage in move.sources]
        rows.append((stage.label, "end" if stage in CLOSED else "open", ", ".join(out) or "–"))
    return _table(("Stage", "", "Moves from here"), rows)


def _moves() -> list[str]:
    rows = []
    for move in MOVES.values():
        sources = ", ".join(s.label for s in Stage if s in move.sources) or "·"
        targets = ", ".join(s.label for s in Stage if s in move.targets)
        who = ", ".join(role.label for role in Role if role in move.roles)
        checks = [_words(gate.__name__) for gate in move.gates]
        checks += [f"said: {_words(ask.__name__)}" for ask in move.asks]
        rows.append((move.label, sources, targets, who, "; ".join(checks)))
    return _table(("Move", "From", "To", "By", "Only when"), rows)


def _gates() -> list[str]:
    rows = []
    for gate in READY_GATES:
        when = f"{gate.days_before} days before {'closing' if gate.before_close else 'install'}"
        checks = "; ".join(_words(check.__name__) for check in gate.checks)
        rows.append((gate.code, gate.label, checks, when))
    return _table(("Gate", "Word", "Done when", "Needed"), rows)


def _switches() -> list[str]:
    rows = [(s.label, one.why, ", ".join(sorted(one.codes))) for s, one in SWITCHED.items()]
    rows += [(label, why, "can’t be left out") for label, why in ALWAYS]
    return _table(("Gate", "Why", "Reasons that go with it"), rows)


def _waivers() -> list[str]:
    rows = []
    for code, rule in WAIVABLE.items():
        who = ", ".join(role.label for role in Role if role in rule.roles)
        note = "override" if rule.override else ""
        rows.append((code, who, "yes" if rule.needs_until else "", note))
    return _table(("Reason", "Waived by", "Must name its end", ""), rows)


def _rights() -> list[str]:
    rows = []
    for deed, cells in RIGHTS.items():
        marks = [OWN[cells[role]] if role in cells else "–" for role in Role]
        rows.append((deed.label, *marks))
    return _table(("Deed", *(role.label for role in Role)), rows)
