"""Addresses of the fleet's own pages."""

from django.contrib.auth.views import LoginView, LogoutView
from django.urls import path

from fleet.pages.sign_in import home

urlpatterns = [
    path("", home, name="home"),
    path("sign-in/", LoginView.as_view(template_name="fleet/sign_in.html"), name="sign-in"),
    path("sign-out/", LogoutView.as_view(), name="sign-out"),
]
