"""Run as a program: two people save at one moment, first one section, then two of one report.

Prints what each of them met and what stands. The database is named by ``TEST_DATABASE_URL``; it
is built here, since rows that are written once can't be flushed away.
"""

import json
import threading

import django
from django.db import connection

django.setup()

from lifecycle.actions.condition.sections import save_section  # noqa: E402
from lifecycle.actions.refusals import Conflict  # noqa: E402
from lifecycle.process.stages import Role  # noqa: E402
from lifecycle.records.models import Person  # noqa: E402
from lifecycle.records.models.condition.words import SectionName  # noqa: E402
from tests.builders.condition import start_draft  # noqa: E402
from tests.builders.core import AT, make_person  # noqa: E402
from tests.builders.tables import make_tables  # noqa: E402


def main() -> None:
    make_tables()
    marit = make_person(Role.CONSERVATOR, name="Marit Oldacre")
    piers = make_person(Role.CONSERVATOR, name="Piers Hallam")
    report = start_draft(by=marit)
    met: dict[str, list[str]] = {"one": [], "two": []}

    def write(round_name: str, barrier: threading.Barrier, who: Person, name: SectionName) -> None:
        try:
            barrier.wait(timeout=20)
            save_section(
                report=report,
                name=name,
                observed=f"seen by {who.full_name}",
                interpretation="",
                revision=0,
                by=who,
                role=Role.CONSERVATOR,
                at=AT,
            )
            met[round_name].append("saved")
        except Conflict as conflict:
            other, own = conflict.theirs["What is there"], conflict.mine["What is there"]
            met[round_name].append(f"conflict: {other} / {own}")
        finally:
            connection.close()

    def together(round_name: str, *sections: SectionName) -> None:
        barrier = threading.Barrier(2)
        threads = [
            threading.Thread(target=write, args=(round_name, barrier, who, name))
            for who, name in zip((marit, piers), sections, strict=True)
        ]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join(timeout=40)

    together("one", SectionName.SUPPORT, SectionName.SUPPORT)
    together("two", SectionName.MEDIUM, SectionName.BINDING)
    stand = {row.name: row.observed for row in report.sections.all()}
    print(json.dumps({name: sorted(said) for name, said in met.items()} | {"stand": stand}))  # noqa: T201


if __name__ == "__main__":
    main()
