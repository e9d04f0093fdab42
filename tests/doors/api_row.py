"""One row of section 9 of the design, for an address of the API: who may do what, and a body that does."""

from collections.abc import Callable
from dataclasses import dataclass, field
from io import BytesIO
from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from tests.cast import TODAY

ALL, WORKSHOP, DESK, MANAGER = (
    frozenset({"engineer", "manager", "office"}),
    frozenset({"engineer", "manager"}),
    frozenset({"manager", "office"}),
    frozenset({"manager"}),
)
NOBODY: frozenset[str] = frozenset()
Ids = dict[str, int]


@dataclass(frozen=True)
class Row:
    """Who may do what at one word's addresses; `adds` is a good body, `changes` a good change."""

    reads: frozenset[str] = ALL
    one: bool = True  # whether a row stands at an address of its own
    posts: frozenset[str] = NOBODY
    patches: frozenset[str] = NOBODY
    corrects: frozenset[str] = NOBODY
    deletes: frozenset[str] = NOBODY
    adds: Callable[[Ids], dict[str, Any]] = lambda ids: {}
    changes: dict[str, Any] = field(default_factory=dict)
    shared: bool = False  # all bases of a copy share these rows
    asks: Callable[[Ids], dict[str, str]] = lambda ids: {}  # what a list must be asked with


DAY = TODAY.isoformat()
VOID = {"void": True}


def photo(width: int = 40) -> SimpleUploadedFile:
    kept = BytesIO()
    Image.new("RGB", (width, 30), "white").save(kept, "JPEG")
    return SimpleUploadedFile("raft.jpg", kept.getvalue(), content_type="image/jpeg")
