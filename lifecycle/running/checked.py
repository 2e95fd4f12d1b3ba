"""What Django checks before a command that opens no page.

Checking the addresses would read every page of the house, half of what such a command takes to
start; the web server reads them itself, and every test of a page does.
"""

from typing import Final

from django.core.checks import Tags

ALL_BUT_ADDRESSES: Final = [
    tag for name, tag in vars(Tags).items() if not name.startswith("_") and tag != Tags.urls
]
