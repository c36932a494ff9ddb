"""The application that the server loads: Django's WSGI application behind a front that takes bodies whole."""

from typing import cast
from wsgiref.types import WSGIApplication

from django.urls import get_resolver

from shopsafe.serving.front import Front
from shopsafe.serving.memory import keep_loaded
from shopsafe.serving.trouble import wait_in_the_front
from shopsafe.wsgi import application as pages

wait_in_the_front()
# Some stubs of Django's handler leave out that its response is an iterable.
application = Front(cast(WSGIApplication, pages))
_ = get_resolver().url_patterns  # every view, before the first request asks for one
keep_loaded()
