"""Which table stands at which address; every route's name begins with `api-`."""

from typing import Any

from rest_framework.routers import SimpleRouter


def routes(tables: dict[str, Any]) -> list[Any]:
    """The addresses of tables by the word they stand under."""
    router = SimpleRouter()
    for word, table in tables.items():
        router.register(word, table, basename=f"api-{word}")
    return router.urls
