"""Rows that are only ever added to: what was recorded, when, by whom, and what stands of it."""

from collections.abc import Callable
from datetime import datetime
from typing import Any, ClassVar, NoReturn, Self, TypeVar

from django.conf import settings
from django.db import models, transaction

T = TypeVar("T")
R = TypeVar("R", bound="Ledger")


class LedgerIsAppendOnly(TypeError):
    """A ledger row is corrected by another row, never changed or removed."""


class LedgerQuerySet(models.QuerySet[Any]):
    """The one way to read a ledger."""

    def standing(self, known_at: datetime | None = None) -> Self:
        """Rows that hold: neither void nor replaced, as known at an instant (now, where blank)."""
        if known_at is None:
            return self.filter(void=False, replaced_by__isnull=True)
        known = self.filter(recorded_at__lte=known_at, void=False)
        return known.exclude(replaced_by__recorded_at__lte=known_at)

    def update(self, **_: Any) -> NoReturn:
        raise LedgerIsAppendOnly("Add a row that replaces it.")

    def delete(self) -> NoReturn:
        raise LedgerIsAppendOnly("Add a void row that replaces it.")


class Ledger(models.Model):
    """One entry; a correction names in `replaces` the row it stands for, `void` takes that back."""

    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )
    client_id = models.CharField(max_length=64, null=True, blank=True, unique=True)
    replaces = models.OneToOneField("self", models.PROTECT, null=True, blank=True, related_name="replaced_by")
    void = models.BooleanField(default=False)

    objects: ClassVar = LedgerQuerySet.as_manager()

    class Meta:
        abstract = True


def enter(row: R, *, at: datetime, by: Any = None, client_id: str | None = None) -> R:
    """Keeps a new row of a ledger, checked; ValidationError names each field that is wrong."""
    row.recorded_at, row.recorded_by = at, by
    row.client_id = client_id or row.client_id
    row.full_clean()
    row.save()
    return row


OWN_COLUMNS = frozenset({"id", "client_id", "replaces", "recorded_at", "recorded_by", "void"})


def _content(row: Any) -> dict[str, Any]:
    """What a row says, without when and by whom it was said."""
    fields = row._meta.concrete_fields
    return {f.attname: getattr(row, f.attname) for f in fields if f.name not in OWN_COLUMNS}


def correction(
    row: Any, *, at: datetime, by: Any = None, client_id: str | None = None, **changed: Any
) -> Any:
    """Keeps a row that stands for another: the same but for what changed; `void=True` takes it back."""
    return enter(type(row)(replaces=row, **_content(row) | changed), at=at, by=by, client_id=client_id)


def latest(row: Any) -> Any:
    """The row that stands for another now, through every correction."""
    while (later := getattr(row, "replaced_by", None)) is not None:
        row = later
    return row


def take_back(row: Any, *, at: datetime, by: Any = None, client_id: str | None = None, **kept: Any) -> Any:
    """Undoes a row by another: what it stood for stands again, but for what is `kept`, or nothing does."""
    last = latest(row)
    if last.void:
        return last
    if row.replaces is None:
        return correction(last, at=at, by=by, client_id=client_id, void=True)
    return correction(last, at=at, by=by, client_id=client_id, **_content(row.replaces) | kept)


def once(known: Callable[[], T | None], keep: Callable[[], T]) -> T:
    """Keeps a story whole or not at all, and once: also when two copies of it arrive together."""
    try:
        with transaction.atomic():
            return known() or keep()
    except Exception:
        # Whatever the later copy stumbled over may have been the earlier one: a number taken, a
        # task recorded for that day already.
        if (there := known()) is not None:
            return there
        raise
