"""The pages of clearances: a class, a student, a cell, the whole school."""

from django.urls import path, re_path

from machines.register import school_views
from machines.register.views import reasons, register, register_file, registers, student_standings

urlpatterns = [
    path("classes/", registers, name="registers"),
    path("classes/<int:section>/register/", register, name="register"),
    re_path(r"^classes/(?P<section>[0-9]+)/register\.(?P<form>csv|xlsx)$", register_file, name="register-file"),
    path("office/standings/", school_views.school_standings, name="school-standings"),
    path("classes/<int:section>/register/<int:student>/", student_standings, name="student-standings"),
    path("classes/<int:section>/register/<int:student>/<int:machine>/", reasons, name="reasons"),
]
