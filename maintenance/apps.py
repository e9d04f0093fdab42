"""Maintenance: what the boats need, what was done, what it took."""

from django.apps import AppConfig


class MaintenanceConfig(AppConfig):
    name = "maintenance"
    verbose_name = "Maintenance"
    default_auto_field = "django.db.models.BigAutoField"
