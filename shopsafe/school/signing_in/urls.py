"""Signing in and out, and changing a password."""

from django.urls import path

from shopsafe.school.signing_in import password_views
from shopsafe.school.signing_in.views import home, sign_in, sign_out, stay

urlpatterns = [
    path("", home, name="home"),
    path("sign-in/", sign_in, name="sign-in"),
    path("sign-out/", sign_out, name="sign-out"),
    path("stay/", stay, name="stay"),
    path("password/", password_views.password_change, name="password-change"),
]
