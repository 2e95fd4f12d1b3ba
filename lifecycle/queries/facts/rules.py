"""What the house rules say to the gates of each exhibition, with what it does otherwise."""

from collections import defaultdict
from collections.abc import Iterable

from django.db.models import Q

from lifecycle.process.facts.showing import Rules
from lifecycle.process.switches import Switch
from lifecycle.queries.days_off import days_off_of
from lifecycle.records.models import GateDays, GateSwitch, HouseRules


def rules_of(exhibition_ids: Iterable[int], rules: HouseRules | None) -> dict[int, Rules]:
    """Return the rules as gates read them, by exhibition, in two queries.

    A version without a word about a gate takes it; what an exhibition says goes above the version.
    """
    ids = set(exhibition_ids)
    version = None if rules is None else rules.pk
    house: set[Switch] = set()
    otherwise: dict[int, dict[Switch, bool]] = defaultdict(dict)
    of_either = Q(exhibition__in=ids) | Q(house_rules__isnull=False, house_rules=version)
    for row in GateSwitch.objects.filter(of_either).order_by("pk"):
        if row.exhibition_id is not None:
            if row.taken is not None:
                otherwise[row.exhibition_id][Switch(row.gate)] = row.taken
        elif not row.taken:
            house.add(Switch(row.gate))
    told = list(GateDays.objects.filter(house_rules=version).order_by("pk"))
    days_off = days_off_of(rules)
    found = {}
    for pk in ids:
        said = otherwise[pk]
        off = {gate for gate in Switch if not said.get(gate, gate not in house)}
        found[pk] = Rules(
            version=0 if rules is None else rules.version,
            fresh_look_months=6 if rules is None else rules.fresh_look_months,
            ink_not_shown_from=4 if rules is None else rules.ink_not_shown_from,
            ink_sign_off_from=3 if rules is None else rules.ink_sign_off_from,
            off=frozenset(off),
            days={row.gate: row.days for row in told},
            working=frozenset(row.gate for row in told if row.working),
            days_off=days_off,
            print_days=15 if rules is None else rules.facsimile_print_days,
            proof_days=10 if rules is None else rules.facsimile_proof_days,
        )
    return found
