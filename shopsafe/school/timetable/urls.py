"""When classes meet."""

from django.urls import path

from shopsafe.school.timetable.views import class_timetable, day_cycle, day_off_add, day_off_remove

urlpatterns = [
    path("people/<int:section>/timetable/", class_timetable, name="class-timetable"),
    path("people/<int:section>/timetable/cycle/", day_cycle, name="day-cycle"),
    path("people/<int:section>/timetable/days-off/", day_off_add, name="day-off-add"),
    path("people/<int:section>/timetable/days-off/<int:day_off>/remove/", day_off_remove, name="day-off-remove"),
]
