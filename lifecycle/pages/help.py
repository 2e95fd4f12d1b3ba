"""Help: the process as the code keeps it, the words of the house, and the shortcut keys."""

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.process.cautions import DEFER
from lifecycle.process.lights import SHOWS
from lifecycle.process.sheet import process_tables, words_table


@require_safe
@signed_in
def help_page(request: SignedInRequest) -> HttpResponse:
    """Show everybody who works here how a showing goes, who may do what, and what words mean."""
    context = {
        "defer": DEFER,
        "words": words_table(),
        "lights": [{"name": light.label, "shows": shows} for light, shows in SHOWS.items()],
        "tables": process_tables(),
    }
    return render(request, "help/help.html", context)
