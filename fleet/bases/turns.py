"""Stories take turns: what reads and then writes waits for the story before it to end."""

from django.db import connection

from fleet.bases.models import Base


def take_turn() -> None:
    """Waits, inside a transaction, until no other story is under way; held to the transaction's end.

    SQLite lets one write at a time anyway. Where the database lets two, each could judge by what
    the other is about to change, and boats alone are no fence: parts and charters tie any of them
    to any other. All bases in one order, as the first thing a story does, so that none waits in a
    ring; NO KEY, so that rows which only name a base do not wait.
    """
    if connection.features.has_select_for_update:
        rows = Base.objects.select_for_update(no_key=True).order_by("pk")
        list(rows.values_list("pk"))
