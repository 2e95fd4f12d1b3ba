"""When did it change? Between which looks, which looks did not look there, what happened between.

The interval is computed from signed reports and from dated looks in the gallery; the verdict is a
person's.
"""

from dataclasses import dataclass

from lifecycle.queries.condition.events import happenings
from lifecycle.queries.condition.happening import Happening
from lifecycle.queries.condition.sightings import Interval, Sighting, intervals, with_detail
from lifecycle.records.models.condition import Observation


@dataclass(frozen=True, slots=True, kw_only=True)
class Dating:
    """The answer for one changed or new feature, with everything it rests on."""

    observation: Observation
    interval: Interval
    between: tuple[Happening, ...]

    @property
    def last_unchanged(self) -> Sighting | None:
        return self.interval.last_unchanged

    @property
    def first_changed(self) -> Sighting:
        return self.interval.first_changed

    @property
    def did_not_look(self) -> tuple[Sighting, ...]:
        return self.interval.did_not_look

    @property
    def flagged(self) -> tuple[Sighting, ...]:
        return self.interval.flagged

    @property
    def days(self) -> int | None:
        return self.interval.days

    @property
    def picture_before(self) -> str:
        """SHA-256 of the latest picture of a look that still shows it unchanged; else empty."""
        return self.interval.picture_before

    @property
    def picture_after(self) -> str:
        return self.interval.first_changed.picture_sha256


def dating(observation: Observation) -> Dating:
    """Return between which looks a feature changed. A fixed number of queries, however many looks.

    Needs ``observation.report.museum_object`` and ``observation.feature`` loaded.
    """
    report = observation.report
    interval = with_detail(intervals(report, [observation])[observation.pk], observation)
    last, first = interval.last_unchanged, interval.first_changed
    return Dating(
        observation=observation,
        interval=interval,
        between=tuple(
            happenings(
                report.museum_object,
                since=last.at if last else None,
                until=first.at,
                face=observation.feature.face,
            )
        ),
    )
