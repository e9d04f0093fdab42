"""Papers that go with what is sent: handed in at the boat's base before, and named by their sha256."""

from collections.abc import Sequence
from typing import Any

from django.core.exceptions import ValidationError

from fleet.api.fields import Several, Text
from fleet.papers.models import Paper

MOST_PAPERS = 50


def some_papers() -> Several:
    """The photos or certificates that go with a row."""
    return Several(
        child=Text(max_length=64),
        required=False,
        max_length=MOST_PAPERS,
        help_text="sha256 of photos or papers handed in at her base",
    )


def papers_at(base: int, wanted: Sequence[str], wrong: dict[str, str] | None = None) -> list[Paper]:
    """The papers of a base by their digests; ValidationError names each that is not there, with what
    else is `wrong` already."""
    rows = Paper.objects.of_bases([base]).filter(sha256__in=wanted) if wanted else ()
    papers = {paper.sha256: paper for paper in rows}
    faults = {
        f"papers[{n}]": "wanted the sha256 of a paper handed in at her base"
        for n, sha256 in enumerate(wanted)
        if sha256 not in papers
    } | (wrong or {})
    if faults:
        raise ValidationError(faults)
    return [papers[sha256] for sha256 in wanted]


def digests(table: Any, column: str, rows: Sequence[int]) -> dict[int, list[str]]:
    """The sha256 of the papers of each row; one query."""
    found: dict[int, list[str]] = {pk: [] for pk in rows}
    links = table.objects.filter(**{f"{column}__in": list(found)}).order_by("pk")
    for pk, sha256 in links.values_list(f"{column}_id", "paper__sha256"):
        found[pk].append(sha256)
    return found
