"""Addresses of the fleet's own pages."""

from django.contrib.auth.views import LoginView, LogoutView
from django.urls import include, path

from fleet.pages.me import me
from fleet.pages.papers import paper
from fleet.pages.people import people, person
from fleet.pages.sign_in import home

of_a_base = [
    path("papers/<str:sha256>/", paper, name="paper"),
    path("people/", people, name="people"),
    path("people/<int:person>/", person, name="person"),
]

urlpatterns = [
    path("", home, name="home"),
    path("sign-in/", LoginView.as_view(template_name="fleet/sign_in.html"), name="sign-in"),
    path("sign-out/", LogoutView.as_view(), name="sign-out"),
    path("me/", me, name="me"),
    path("at/<str:base>/", include(of_a_base)),
]
