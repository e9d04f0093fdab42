"""Photos and certificates, each kept once, and the bases that hold them."""

from typing import ClassVar, Self

from django.conf import settings
from django.db import models


class PaperQuerySet(models.QuerySet["Paper"]):
    def of_bases(self, bases: "models.QuerySet | list[int]") -> Self:
        """Those handed in at any of these bases."""
        return self.filter(pk__in=PaperAt.objects.filter(base__in=bases).values("paper"))


class Paper(models.Model):
    """A file known by its content: `sha256` is its name in the store."""

    sha256 = models.CharField(max_length=64, unique=True)
    mime = models.CharField(max_length=80)
    size = models.PositiveBigIntegerField(help_text="bytes")
    taken_at = models.DateTimeField(null=True, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")

    objects = PaperQuerySet.as_manager()


class PaperAt(models.Model):
    """That a paper was handed in at a base: the same file at two bases is stored once and seen by both."""

    paper = models.ForeignKey(Paper, models.PROTECT, related_name="bases")
    base = models.ForeignKey("fleet.Base", models.PROTECT, related_name="papers")
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        constraints: ClassVar = [models.UniqueConstraint(fields=["paper", "base"], name="paper_once_at_base")]
