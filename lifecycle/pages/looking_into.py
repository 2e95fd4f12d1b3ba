"""Look into one picture, lay another of the same face over it, mark points that both show."""

from collections.abc import Sequence
from typing import Any, Final
from uuid import UUID

from django import forms
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe
from django.views.decorators.http import require_GET

from lifecycle.actions.picture_matches import MOST_POINTS, match_pictures
from lifecycle.actions.work.rows import OPEN
from lifecycle.pages.display.seeing import Cautions, cautions_of
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.form_page import FormPage, answer_form
from lifecycle.pages.pictures import finer_of, may_see_picture, picture_address
from lifecycle.papers.drawing.laid_over import Shown, laid_over
from lifecycle.process.cautions import CautionFor
from lifecycle.process.lights import SHOWS
from lifecycle.process.rights import Deed
from lifecycle.process.words import LightKind
from lifecycle.queries.picture_matches import laid, other_of_face, pictures_beside
from lifecycle.queries.pictures import copies_work
from lifecycle.queries.rights import about_object
from lifecycle.records.models.picture_matches import MatchFit
from lifecycle.records.models.pictures import Picture
from lifecycle.science.common_points import Map

#: Lights whose name needs the word after it.
NAMED_LIGHT: Final = {
    LightKind.DIFFUSE,
    LightKind.RAKING,
    LightKind.TRANSMITTED,
    LightKind.AXIAL,
}


def shown(picture: Picture) -> Shown:
    return Shown(
        href=picture_address(picture, "screen"),
        width=picture.width,
        height=picture.height,
        finer=finer_of(picture),
    )


def _drawing(lower: Picture, upper: Picture | None, by: Map) -> SafeString:
    title = f"{called(lower)}, under {called(upper)}" if upper else called(lower)
    drawn = laid_over(shown(lower), shown(upper) if upper else None, by, title=title)
    return mark_safe(drawn)  # noqa: S308 (our own drawing; every text in it is escaped there)


def called(picture: Picture) -> str:
    """What a picture is called beside others of its face."""
    light = "light not said"
    if picture.light:
        light = LightKind(picture.light).label + (" light" if picture.light in NAMED_LIGHT else "")
    day = f", {picture.taken_at:%-d %b %Y}" if picture.taken_at else ""
    return f"{picture.face.label if picture.face else picture.name}, {light}{day}"


def _cautions(pictures: Sequence[Picture]) -> Cautions | None:
    """Whoever looks at a UV picture may be about to take the next one."""
    seen = next((p for p in pictures if p.light == LightKind.UV_FLUORESCENCE), None)
    if seen is None or seen.museum_object is None:
        return None
    return cautions_of(seen.museum_object, CautionFor.EXAMINE_UV)


def _seen_picture(request: SignedInRequest, uid: UUID) -> Picture:
    picture = get_object_or_404(Picture.objects.select_related("museum_object", "face"), uid=uid)
    may_see_picture(request, picture.museum_object)
    return picture


def _over(lower: Picture, beside: Sequence[Picture], asked: str) -> Picture:
    """The picture that is asked for, however long ago it was taken.

    :raises Http404: if it is none of the same face
    """
    found = next((one for one in beside if str(one.uid) == asked), None)
    if found is None and lower.face_id is not None:
        try:
            found = other_of_face(lower, UUID(asked))
        except ValueError as no_uid:
            raise Http404 from no_uid
    if found is None:
        raise Http404
    return found


@require_GET
@signed_in
def picture_look(request: SignedInRequest, uid: UUID) -> HttpResponse:
    """One picture at every size, and with ``?over=`` another of the same face laid over it."""
    lower = _seen_picture(request, uid)
    beside = pictures_beside(lower)
    asked = request.GET.get("over", "")
    upper = _over(lower, beside, asked) if asked else None
    lies = laid(upper, lower) if upper else None
    both = [lower, upper] if upper else [lower]
    work = copies_work(lower)
    about = lower.museum_object
    context = {
        "picture": lower,
        "called": called(lower),
        "upper": upper,
        "upper_called": called(upper) if upper else "",
        "lies": lies,
        "drawing": _drawing(lower, upper, lies.by if lies else Map()),
        "beside": [{"picture": one, "called": called(one)} for one in beside],
        "cautions": _cautions(both),
        "lights": [
            {"name": LightKind(light).label, "shows": SHOWS[LightKind(light)]}
            for light in dict.fromkeys(one.light for one in both)
            if light in SHOWS
        ],
        "work": work,
        "being_made": work is not None and work.state in OPEN,
        "may_match": about is not None and request.may(Deed.EXAMINE, about_object(about)),
    }
    return render(request, "pictures/look.html", context)


class MatchForm(forms.Form):
    """Two to four points, each in pixels of both pictures; a point half written is said."""

    fit = forms.TypedChoiceField(
        label="What may differ between the pictures",
        choices=[(fit.value, fit.label) for fit in MatchFit],
        coerce=MatchFit,
        initial=MatchFit.SIMILARITY,
        widget=forms.RadioSelect,
        help_text="Slant takes three points or more; then four tell how well they fit.",
    )

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        for number in range(1, MOST_POINTS + 1):
            for name in ("lower", "upper"):
                for axis, edge in (("x", "from the left"), ("y", "from the top")):
                    self.fields[f"{name}_{axis}{number}"] = forms.FloatField(
                        label=f"{number}, {name} picture: px {edge}",
                        required=number <= 2,
                        min_value=0,
                        widget=forms.NumberInput(attrs={"step": "0.1"}),
                    )

    def clean(self) -> dict[str, Any]:
        """Gather the points that are written whole.

        The model of a point is (x, y) in the upper picture, then (x, y) in the lower one.
        """
        data = super().clean() or {}
        points = []
        for number in range(1, MOST_POINTS + 1):
            names = [f"{name}_{axis}{number}" for name in ("upper", "lower") for axis in "xy"]
            values = [data.get(name) for name in names]
            if all(value is None for value in values):
                continue
            for name, value in zip(names, values, strict=True):
                if value is None and name not in self.errors:
                    self.add_error(name, "Mark this point here too, or clear it everywhere.")
            points.append((tuple(values[:2]), tuple(values[2:])))
        data["points"] = points
        return data


@signed_in
def picture_match(request: SignedInRequest, uid: UUID, over: UUID) -> HttpResponse:
    """Mark the same points in two pictures of one face."""
    lower, upper = _seen_picture(request, uid), _seen_picture(request, over)
    if lower.museum_object is None or lower.face_id is None or lower.face_id != upper.face_id:
        raise Http404
    role = request.role_for(Deed.EXAMINE, about_object(lower.museum_object))
    back = f"{reverse('picture-look', args=[lower.uid])}?over={upper.uid}"
    form = MatchForm(request.POST or None)

    def act(data: dict[str, Any]) -> str:
        match_pictures(
            upper=upper,
            lower=lower,
            fit=data["fit"],
            points=data["points"],
            by=request.person,
            role=role,
            at=request.at,
        )
        return "The points are kept; the pictures lie by them."

    page = FormPage(
        title="Mark points that both pictures show",
        submit="Lay them by these points",
        back=back,
        lead="Two or three small things that no light moves, far apart: a wormhole, a dot of ink.",
        cautions=_cautions([lower, upper]) or (),
        template="pictures/match.html",
        more={
            "sides": [
                {"name": name, "called": called(one), "drawing": _drawing(one, None, Map())}
                for name, one in (("lower", lower), ("upper", upper))
            ]
        },
    )
    return answer_form(request, form, act, page)
