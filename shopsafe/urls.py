"""Every page of the program. Only this file and the settings know all apps."""

from django.urls import include, path

from machines.bench import shop_context

handler500 = "shopsafe.serving.views.server_error"

urlpatterns = [
    path("", include("shopsafe.school.urls")),
    path("", include("quizzes.urls")),
    path("", include("quizzes.shop_urls"), {"shop": shop_context}),
    path("", include("machines.urls")),
]
