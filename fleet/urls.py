"""Which door each address opens; `maintenance` is named as a string only."""

from django.urls import include, path

urlpatterns = [
    path("api/", include("fleet.api.urls")),
    path("api/", include("maintenance.api.urls")),
    path("api/", include("fleet.api.beyond")),
    path("", include("fleet.pages.urls")),
    path("", include("maintenance.pages.urls")),
]
