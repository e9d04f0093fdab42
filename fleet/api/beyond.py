"""Whatever else begins with /api/: no page, and no address of the API."""

from django.urls import re_path

from fleet.api.docs import nothing

urlpatterns = [re_path("", nothing, name="api-nothing")]
