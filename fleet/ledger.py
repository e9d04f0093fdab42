"""Rows that are only ever added to: what was recorded, when, by whom, and what stands of it."""

from datetime import datetime
from typing import Any, NoReturn, Self

from django.conf import settings
from django.db import models


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
    replaces = models.OneToOneField(
        "self", models.PROTECT, null=True, blank=True, related_name="replaced_by"
    )
    void = models.BooleanField(default=False)

    objects = LedgerQuerySet.as_manager()

    class Meta:
        abstract = True


def correction(row: Any, *, at: datetime, by: Any = None, **changed: Any) -> Any:
    """Keeps a row that stands for another: the same but for what changed; `void=True` takes it back."""
    same = {
        field.attname: getattr(row, field.attname)
        for field in row._meta.concrete_fields
        if field.name not in ("id", "client_id", "replaces", "recorded_at", "recorded_by", "void")
    }
    later = type(row)(replaces=row, recorded_at=at, recorded_by=by, **same | changed)
    later.full_clean()
    later.save()
    return later
