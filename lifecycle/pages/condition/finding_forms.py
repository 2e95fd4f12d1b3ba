"""Forms of the look itself: findings, lights, what was not seen, pictures, advice."""

from datetime import date
from decimal import Decimal
from typing import Any

from django import forms

from lifecycle.actions.condition.findings import Box, Sight, box_of
from lifecycle.pages.condition.choosing import (
    ZONES,
    closed,
    face_field,
    fill_faces,
    fill_terms,
    fill_words,
    numbers,
    version_field,
    word_field,
)
from lifecycle.pages.condition.places import (
    PICTURE,
    Unreadable,
    mark_typed,
    places_field,
    places_of,
    shape_field,
    unit_field,
)
from lifecycle.pages.display.hands import photo_field
from lifecycle.pages.fields import day_field
from lifecycle.process.days import day_words
from lifecycle.process.words import Activity, FeatureState, Layer, LightKind, Severity
from lifecycle.queries.earlier_marks import laid_right, lying_on
from lifecycle.queries.marks import Marks, Plane
from lifecycle.records.models import Picture, Vocabulary
from lifecycle.records.models.condition import ConditionReport, LightUsed, Observation, ReportFace
from lifecycle.records.models.condition.words import Advice
from lifecycle.science.selectors import Mark, ShapeKind
from lifecycle.science.shapes import cells

CLOCK = [("", "not stated"), *((str(hour), f"{hour} o’clock") for hour in range(1, 13))]
DRAWN_ELSEWHERE = (
    "These points were set on another picture. They stand on the picture of this face now: look "
    "whether they are right, and save again."
)
NO_PICTURE = (
    "This face has no picture: give a box in percent of the face, or name the zone of the grid."
)


def _millimetres(label: str) -> forms.DecimalField:
    return forms.DecimalField(
        label=label,
        required=False,
        max_digits=7,
        decimal_places=1,
        widget=forms.NumberInput(attrs={"step": "0.1", "inputmode": "decimal"}),
    )


class FindingForm(forms.Form):
    """One finding: its place by zone, by a mark on the picture, or by clock position.

    ``on`` and ``plane`` are the picture of the face that is marked on, where there is one; ``kept``
    is the place that stands: while nobody touches it, it stays on the picture it was made on.
    """

    on: Picture | None = None
    plane: Plane | None = None
    kept: Observation | None = None
    marks: Marks = Marks({}, {})
    mark: Mark | None = None
    box: Box | None = None

    face = face_field()
    term = word_field("Term")
    state = forms.ChoiceField(
        label="Against the earlier report", choices=[(s.value, s.label) for s in FeatureState]
    )
    zone = forms.ChoiceField(
        label="Zone of the grid",
        required=False,
        choices=ZONES,
        help_text="Rows A to C from the top, columns 1 to 3 from the left, as displayed.",
    )
    shape = shape_field()
    places = places_field(
        "Its points",
        "One a line, from left and from top, such as 12.5, 40. A pointer on the picture writes "
        "them for you.",
    )
    unit = unit_field()
    right_here = forms.BooleanField(
        label="The mark lies right on today’s picture",
        required=False,
        help_text="It was made on an earlier picture and is dashed here.",
    )
    clock_position = forms.TypedChoiceField(
        label="Clock position",
        required=False,
        choices=CLOCK,
        coerce=int,
        empty_value=None,
        help_text="For solid things, seen from the front.",
    )
    severity = forms.TypedChoiceField(
        label="Severity", required=False, choices=numbers(Severity), coerce=int, empty_value=None
    )
    layer = forms.ChoiceField(label="Layer", required=False, choices=closed(Layer))
    activity = forms.ChoiceField(label="Activity", required=False, choices=closed(Activity))
    length_mm = _millimetres("Length [mm]")
    width_mm = _millimetres("Width [mm]")
    count = forms.IntegerField(label="How many", required=False, min_value=1)
    seen_in = forms.ModelChoiceField(
        LightUsed.objects.none(),
        to_field_name="uid",
        label="Seen in",
        required=False,
        empty_label="not stated",
    )
    note = forms.CharField(label="Note", required=False, widget=forms.Textarea(attrs={"rows": 3}))
    picture = photo_field("Picture of the detail")
    version = version_field()
    drawn_on = forms.CharField(required=False, max_length=36, widget=forms.HiddenInput())
    field_order = (
        *("face", "term", "state", "severity", "zone", "right_here", "note"),
        *("length_mm", "width_mm", "count", "layer", "activity", "seen_in"),
        *("picture", "shape", "places", "unit", "clock_position"),
    )
    _IN_A_ROW = ("length_mm", "width_mm", "count", "layer", "activity", "seen_in")
    _BY_HAND = ("shape", "places", "unit", "clock_position")

    @property
    def parts(self) -> dict[str, list[forms.BoundField]]:
        """The fields as they are shown: one below the other, in a row, and the place by hand."""
        row = [self[name] for name in self._IN_A_ROW]
        hand = [self[name] for name in self._BY_HAND]
        apart = {*self._IN_A_ROW, *self._BY_HAND, "picture"}
        first = [field for field in self.visible_fields() if field.name not in apart]
        return {"first": first, "row": row, "last": [self["picture"]], "by_hand": hand}

    @property
    def by_hand_open(self) -> bool:
        """Whether the place by hand is to be read at once: no picture to mark on, or a fault."""
        return self.on is None or any(self[name].errors for name in self._BY_HAND)

    def fill(self, report: ConditionReport, on: date) -> None:
        """Offer the report's faces and lights and the museum's terms."""
        fields: dict[str, Any] = self.fields
        fill_faces(fields["face"], report)
        fields["seen_in"].queryset = report.lights_used.filter(taken_back=False).order_by("number")
        fields["seen_in"].label_from_instance = lambda used: (
            f"{used.number}. {LightKind(used.light).label}"
        )
        fill_terms(fields["term"], report, on)
        del fields["right_here"]

    def lie_on(
        self, picture: Picture | None, marks: Marks, kept: Observation | None = None
    ) -> None:
        """Take marks on this picture; a kept mark of an earlier one may be laid right on it.

        ``marks`` has the plane of the picture and the kept mark.
        """
        plane = marks.planes.get(picture.pk) if picture else None
        self.on, self.plane, self.kept, self.marks = picture, plane, kept, marks
        fields: dict[str, Any] = self.fields
        if kept is not None and kept.marked_on_id and picture and kept.marked_on_id != picture.pk:
            fields["right_here"] = type(self).base_fields["right_here"]
        self.initial["drawn_on"] = str(picture.uid) if picture else ""

    def for_a_new_one(self) -> None:
        """A new finding is a first record: nothing to choose."""
        fields: dict[str, Any] = self.fields
        fields["state"].required = False
        fields["state"].widget = forms.HiddenInput()

    def for_a_known_one(self) -> None:
        """A known feature keeps its face; 'first record' is for new ones alone."""
        del self.fields["face"]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        shape, places = data.get("shape", ""), data.get("places", "")
        if shape and not places.strip():
            self.add_error("places", "Give the points of the mark, or choose “no mark”.")
        elif places.strip() and not shape:
            self.add_error("shape", "Choose what these points are: point, box, line or outline.")
        elif shape and self._drawn_elsewhere:
            self.add_error("places", DRAWN_ELSEWHERE)
        elif shape and not self._place_stands:
            self._read(shape, places, data.get("unit") or PICTURE)
        self._check_zone(data.get("zone", ""))
        return data

    @property
    def _place_stands(self) -> bool:
        """Whether the kept place was left alone; browsers change the ends of lines."""
        if self.kept is None or self.data.get("right_here"):
            return False
        before = _place_typed(self.kept, self.marks, self.on)
        return all(
            " ".join(self.data.get(name, "").split()) == " ".join(before.get(name, "").split())
            for name in ("shape", "places")
        )

    @property
    def _drawn_elsewhere(self) -> bool:
        """Whether the points were set on another picture than the face's; said once."""
        before, now = self.data.get("drawn_on", ""), str(self.initial.get("drawn_on", ""))
        if not before or before == now:
            return False
        typed: Any = self.data
        again = typed.copy()
        again["drawn_on"] = now
        self.data = again
        return True

    def _read(self, shape: str, places: str, unit: str) -> None:
        plane = self.plane or Plane(10_000, 10_000, (0, 0, 10_000, 10_000), None, False)
        try:
            mark = mark_typed(shape, places, unit, plane)
        except Unreadable as bad:
            self.add_error("places", str(bad))
            return
        if self.plane is not None:
            self.mark = mark
        elif mark.kind is ShapeKind.BOX:
            # Without a picture the 10,000 are hundredths of a percent of the face.
            sides = (Decimal(round(side)) / 100 for side in mark.frame)
            self.box = Box(**dict(zip(("left", "top", "width", "height"), sides, strict=True)))
        else:
            self.add_error("shape", NO_PICTURE)

    def _check_zone(self, zone: str) -> None:
        if self.mark is None or self.plane is None or not zone:
            return
        first, last = cells(self.mark.points, self.plane.face)
        if not (first[0] <= zone[0] <= last[0] and first[1] <= zone[1] <= last[1]):
            where = first if first == last else f"{first} to {last}"
            text = f"The mark lies in {where}, not in {zone}: choose that zone, or move the mark."
            self.add_error("zone", text)

    def sight(self, **more: Any) -> Sight:
        """What was typed, for the actions."""
        data = self.cleaned_data
        place: dict[str, Any] = {"mark": self.mark, "box": self.box}
        place["marked_on"] = self.on if self.mark else None
        place["unmarked"] = not (self.mark or self.box)
        if self._place_stands and self.kept is not None:
            place = place_of(self.kept, self.marks)
        return Sight(
            term=data["term"],
            state=FeatureState(data["state"] or FeatureState.FIRST_RECORD),
            layer=data["layer"],
            zone=data["zone"],
            **place,
            clock_position=data["clock_position"],
            length_mm=data["length_mm"],
            width_mm=data["width_mm"],
            count=data["count"],
            severity=data["severity"],
            activity=data["activity"],
            seen_in=data["seen_in"],
            note=data["note"],
            **more,
        )


def place_of(seen: Observation, marks: Marks) -> dict[str, Any]:
    """The place of a finding as it stands, for the action that writes it again."""
    found = marks.of(seen)
    mark = found.mark if found else None
    return {"mark": mark, "marked_on": seen.marked_on, "box": box_of(seen)}


def _place_typed(seen: Observation, marks: Marks, on: Picture | None = None) -> dict[str, Any]:
    """The place of a finding as the form has it: a mark, or a box in percent of the face.

    A mark of an earlier picture stands where it lies on the picture ``on``.
    """
    if found := marks.of(seen):
        mark, plane = found.mark, found.plane
        if on is not None and on.pk != found.picture_id and on.pk in marks.planes:
            plane = marks.planes[on.pk]
            mark = laid_right(found, on, lying_on(on, [seen], marks))
        return {
            "shape": mark.kind.value,
            "places": places_of(mark.points, plane),
            "unit": PICTURE,
        }
    if (box := box_of(seen)) is None:
        return {}
    left, top = float(box.left), float(box.top)
    corners = [(left, top), (float(box.left + box.width), float(box.top + box.height))]
    plane = Plane(100, 100, (0, 0, 100, 100), None, False)
    return {"shape": ShapeKind.BOX.value, "places": places_of(corners, plane), "unit": PICTURE}


def sight_of(seen: Observation, marks: Marks, on: Picture | None = None) -> dict[str, Any]:
    """Initial values of a known feature in this report."""
    same = ("state", "zone", "clock_position", "severity", "layer", "activity")
    more = ("length_mm", "width_mm", "count", "note")
    return {
        **{name: getattr(seen, name) for name in (*same, *more)},
        "term": seen.term.uid,
        "seen_in": seen.seen_in.uid if seen.seen_in else None,
        "version": seen.revision,
        **_place_typed(seen, marks, on),
    }


class LightForm(forms.Form):
    """One light the object was looked at in."""

    light = forms.ChoiceField(label="Light", choices=[(k.value, k.label) for k in LightKind])
    direction_clock = forms.TypedChoiceField(
        label="From which side",
        required=False,
        choices=CLOCK,
        coerce=int,
        empty_value=None,
        help_text="As a clock seen from the front; raking light needs it.",
    )
    instrument = forms.CharField(label="Lamp or instrument", required=False, max_length=120)
    magnification = forms.DecimalField(
        label="Magnified, times", required=False, max_digits=6, decimal_places=1
    )
    minutes = forms.DecimalField(
        label="Minutes",
        required=False,
        max_digits=6,
        decimal_places=1,
        help_text="UV and strong lamps are exposure; UV needs its minutes.",
    )
    lux = forms.IntegerField(label="Illuminance at the object [lx]", required=False, min_value=0)
    note = forms.CharField(label="Note", required=False, max_length=240)


class NotSeenForm(forms.Form):
    what = word_field("Not seen")
    note = forms.CharField(label="Which, and why", required=False, max_length=240)

    def fill(self, on: date) -> None:
        fill_words(self.fields["what"], Vocabulary.NOT_SEEN, on)


class FacePictureForm(forms.Form):
    """The picture that findings of a face are marked on."""

    picture = photo_field("A new picture of this face", help_text="JPEG, PNG, TIFF or WebP.")
    kept = forms.ModelChoiceField(
        Picture.objects.none(),
        to_field_name="uid",
        label="Or one that is kept already",
        required=False,
        empty_label="none",
    )
    light = forms.ChoiceField(
        label="Taken in", required=False, choices=closed(LightKind), initial=LightKind.DIFFUSE
    )
    beside = forms.BooleanField(
        label="Keep it beside the picture that is marked on",
        required=False,
        help_text="For the same face in another light: it can be laid over the first.",
    )
    scale_present = forms.BooleanField(label="A scale is in the picture", required=False)
    nothing_further = forms.BooleanField(label="Nothing further seen on this face", required=False)

    def fill(self, row: ReportFace) -> None:
        fields: dict[str, Any] = self.fields
        fields["kept"].queryset = row.face.pictures.order_by("-entered_at", "-pk")
        fields["kept"].label_from_instance = lambda kept: (
            f"{kept.name}, {day_words(kept.taken_at or kept.entered_at)}"
        )


class AdviceForm(forms.Form):
    about = forms.ChoiceField(label="About", choices=[(a.value, str(a.label)) for a in Advice])
    text = forms.CharField(label="Recommendation", widget=forms.Textarea(attrs={"rows": 3}))
    due_on = day_field("Wanted by", required=False)


class WhyForm(forms.Form):
    """A reason, for striking and taking back."""

    why = forms.CharField(label="Why", max_length=500)
