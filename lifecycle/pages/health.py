"""Health: a page for people, JSON for a monitor."""

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.utils.timezone import now
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from lifecycle.queries.health import health


@require_safe
@never_cache
def health_page(request: HttpRequest) -> HttpResponse:
    """Say of each part whether it is well; sentences are for people who are signed in.

    JSON answers 503 while a part is not well, so that a monitor needs to read no text.
    """
    parts = health(at=now())
    well = all(part.well for part in parts)
    known = request.user.is_authenticated if parts[1].well else False
    if request.GET.get("format") == "json":
        said = {
            part.name: {"well": part.well, **({"text": part.text} if known else {})}
            for part in parts
        }
        return JsonResponse({"well": well, "parts": said}, status=200 if well else 503)
    if not parts[1].well:
        # Without its database no page of the house can be drawn; this one needs none.
        return HttpResponse(
            "The database does not answer. Ask whoever runs Showrest to look at its log.",
            status=503,
            content_type="text/plain; charset=utf-8",
        )
    context = {"parts": parts, "well": well, "known": known}
    return render(request, "health/health.html", context)
