"""A browser-less visitor who is signed in as a person of one role."""

from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from lifecycle.process.stages import Role
from lifecycle.records.models import Person
from tests.builders.core import make_person


def visitor(*roles: Role, person: Person | None = None) -> Client:
    """A client signed in as somebody who holds these roles."""
    someone = person or make_person(*roles)
    client = Client(raise_request_exception=True)
    assert someone.account is not None
    client.force_login(someone.account)
    return client


def questions(client: Client, address: str) -> int:
    """How many queries a page asks, the door and the frame included."""
    client.get(address)
    with CaptureQueriesContext(connection) as asked:
        assert client.get(address).status_code == 200
    return len(asked)
