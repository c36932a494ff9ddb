"""The office's pages: terms, shops, classes, staff."""

from django.urls import path

from shopsafe.school.places.views import (
    class_add,
    class_rename,
    class_teachers,
    conventions,
    idle_minutes,
    office,
    shop_add,
    shop_rename,
    shop_teachers,
    staff_add,
    staff_end,
    staff_let_in,
    staff_password,
    term_add,
    term_change,
)

urlpatterns = [
    path("office/", office, name="office"),
    path("office/idle/", idle_minutes, name="idle-minutes"),
    path("office/conventions/", conventions, name="conventions"),
    path("office/terms/add/", term_add, name="term-add"),
    path("office/terms/<int:term>/", term_change, name="term-change"),
    path("office/shops/add/", shop_add, name="shop-add"),
    path("office/classes/add/", class_add, name="class-add"),
    path("office/shops/<int:shop>/", shop_rename, name="shop-rename"),
    path("office/shops/<int:shop>/teachers/", shop_teachers, name="shop-teachers"),
    path("office/classes/<int:section>/", class_rename, name="class-rename"),
    path("office/classes/<int:section>/teachers/", class_teachers, name="class-teachers"),
    path("office/staff/add/", staff_add, name="staff-add"),
    path("office/staff/<int:person>/password/", staff_password, name="staff-password"),
    path("office/staff/<int:person>/end/", staff_end, name="staff-end"),
    path("office/staff/<int:person>/let-in/", staff_let_in, name="staff-let-in"),
]
