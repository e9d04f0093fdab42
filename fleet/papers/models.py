"""Photos and certificates, each kept once."""

from django.conf import settings
from django.db import models


class Paper(models.Model):
    """A file known by its content: `sha256` is its name in the store."""

    sha256 = models.CharField(max_length=64, unique=True)
    mime = models.CharField(max_length=80)
    size = models.PositiveBigIntegerField(help_text="bytes")
    taken_at = models.DateTimeField(null=True, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
