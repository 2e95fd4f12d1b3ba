"""The part of a package that says where findings lie on their pictures: Web Annotations."""

import json
from collections import defaultdict
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Final
from urllib.parse import quote

from lifecycle.exchange.annotations import collection
from lifecycle.exchange.package.bag import payload_file
from lifecycle.queries.marks import marks_of
from lifecycle.queries.package.kinds import kind_of
from lifecycle.queries.package.naming import Names
from lifecycle.queries.package.scope import Reach
from lifecycle.queries.package.telling import portions
from lifecycle.records.models import ConditionReport, Observation, Picture
from lifecycle.records.models.condition import ReportFace

Tick = Callable[[int, str], None]
FOLDER: Final = "marks"


def steps_of(
    folder: Path, reach: Reach, names: Names
) -> Iterator[tuple[str, str, int, Callable[[Tick], None]]]:
    """Yield the one step of this part: key, what is being done, weight, and the work itself."""
    reports = reach.rows(kind_of(ConditionReport))

    def write(tick: Tick) -> None:
        for rows in portions(reports, 20):
            _write(folder, rows, names)
            tick(len(rows), "Marks on pictures")

    yield "marks", "Marks on pictures", reports.count(), write


def _write(folder: Path, reports: list[ConditionReport], names: Names) -> None:
    """One file for each report that has findings; a few questions for all of these reports."""
    seen: dict[int, list[Observation]] = defaultdict(list)
    rows = Observation.objects.filter(report__in=reports, taken_back=False).select_related(
        "feature__face", "term", "marked_on", "written_by"
    )
    for row in rows.order_by("feature__number"):
        seen[row.report_id].append(row)
    shown: dict[int, dict[int, Picture]] = defaultdict(dict)
    covered = ReportFace.objects.filter(report__in=reports, dropped=False, picture__isnull=False)
    for face in covered.select_related("picture"):
        if face.picture is not None:
            shown[face.report_id][face.face_id] = face.picture
    marked_on = [row.marked_on for found in seen.values() for row in found if row.marked_on]
    pictures = [*marked_on, *(one for found in shown.values() for one in found.values())]
    names.look_up(Picture, [picture.pk for picture in pictures])

    def address(picture: Picture) -> str:
        return f"../{quote(names.of(Picture, picture.pk).file)}"

    for report in reports:
        if found := seen.get(report.pk):
            own = [row.marked_on for row in found]
            marks = marks_of(found, pictures=own, at=report.signed_at)
            told = collection(report, found, marks, pictures=shown[report.pk], address=address)
            with payload_file(folder, _file(report)) as file:
                file.write(json.dumps(told, ensure_ascii=False, indent=1).encode())


def _file(report: ConditionReport) -> str:
    return f"{FOLDER}/{report.report_no}-v{report.version}.jsonld"
