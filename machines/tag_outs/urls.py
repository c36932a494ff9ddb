"""Tagging a machine out and returning it to service."""

from django.urls import path

from machines.tag_outs.views import return_to_service, tag_file, tag_out

urlpatterns = [
    path("machines/<int:machine>/tag-out/", tag_out, name="tag-out"),
    path("tag-outs/<int:tag_out>/tag.pdf", tag_file, name="tag-file"),
    path("tag-outs/<int:tag_out>/return/", return_to_service, name="return-to-service"),
]
