"""The pages on which a shop is set up."""

from django.urls import path

from machines.setting_up.views import first_run, requirements
from machines.setting_up.views.class_machines import class_machines
from machines.setting_up.views.machines import kind_add, kind_change, machine_change, machine_retire, machines_add

urlpatterns = [
    path("first-run/", first_run.first_run, name="first-run"),
    path("first-run/begin/", first_run.begin, name="first-run-begin"),
    path("first-run/shop/", first_run.shop, name="first-run-shop"),
    path("first-run/rules/", first_run.rules, name="first-run-rules"),
    path("kinds/", requirements.kinds, name="kinds"),
    path("kinds/<int:kind>/requirements/", requirements.kind_requirements, name="kind-requirements"),
    path(
        "kinds/<int:kind>/requirements/<int:machine>/", requirements.machine_requirements, name="machine-requirements"
    ),
    path("kinds/<int:kind>/change/", kind_change, name="kind-change"),
    path("kinds/add/", kind_add, name="kind-add"),
    path("shops/<int:shop>/machines/add/", machines_add, name="machines-add"),
    path("people/<int:section>/machines/", class_machines, name="class-machines"),
    path("machines/<int:machine>/change/", machine_change, name="machine-change"),
    path("machines/<int:machine>/retire/", machine_retire, name="machine-retire"),
]
