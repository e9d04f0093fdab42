"""A program at the API: signed in as somebody, speaking JSON."""

from dataclasses import dataclass
from typing import Any

from django.http import HttpResponse
from django.test import Client


@dataclass
class Program:
    """Calls addresses under /api/ with a body in JSON and gives back the answer."""

    client: Client

    def get(self, where: str, headers: dict[str, str] | None = None, **query: Any) -> HttpResponse:
        return self.client.get(f"/api/{where}", query, headers=headers)

    def post(self, where: str, body: Any, headers: dict[str, str] | None = None) -> HttpResponse:
        return self.client.post(f"/api/{where}", body, content_type="application/json", headers=headers)

    def patch(self, where: str, body: Any, headers: dict[str, str] | None = None) -> HttpResponse:
        return self.client.patch(f"/api/{where}", body, content_type="application/json", headers=headers)

    def delete(self, where: str, headers: dict[str, str] | None = None) -> HttpResponse:
        return self.client.delete(f"/api/{where}", headers=headers)

    def change(self, where: str, body: Any) -> HttpResponse:
        """Changes a row as it was just read."""
        return self.patch(where, body, {"If-Match": self.get(where)["ETag"]})

    def rows(self, where: str, **query: Any) -> list[dict[str, Any]]:
        """Every row of a list, page by page."""
        answer = self.get(where, **query)
        assert answer.status_code == 200, answer.content
        page = answer.json()
        found = page["results"]
        while page["next"]:
            page = self.client.get(page["next"]).json()
            found += page["results"]
        return found


def wrongs(answer: HttpResponse) -> dict[str, str]:
    """What a problem document wants, by field."""
    assert answer["Content-Type"] == "application/problem+json", answer["Content-Type"]
    return {wrong["field"]: wrong["wanted"] for wrong in answer.json()["errors"]}
