"""Addresses of the pages."""

urlpatterns = []
