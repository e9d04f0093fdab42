"""Which door each address opens; `maintenance` is named as a string only."""

from django.urls import include, path

urlpatterns = [
    path("", include("fleet.pages.urls")),
    path("", include("maintenance.pages.urls")),
]
