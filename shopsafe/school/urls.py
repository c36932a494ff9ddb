"""Where people sign in and are looked after."""

from django.urls import path

from shopsafe.school.views import look, signing_in

urlpatterns = [
    path("", signing_in.home, name="home"),
    path("sign-in/", signing_in.sign_in, name="sign-in"),
    path("sign-out/", signing_in.sign_out, name="sign-out"),
    path("look/", look.look, name="look"),
]
