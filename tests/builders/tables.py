"""Tables straight from the models, for programs that run on a database of their own."""

from django.apps import apps
from django.conf import settings
from django.core.management import call_command


def make_tables() -> None:
    """Build every table with its triggers, without walking the steps that led to it.

    As the tests' own tables are built: a tenth of the time.
    """
    settings.MIGRATION_MODULES = dict.fromkeys(config.label for config in apps.get_app_configs())
    call_command("migrate", run_syncdb=True, verbosity=0)
