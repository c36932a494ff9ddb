"""The application that the server loads: Django's WSGI application behind a front that takes bodies whole."""

from typing import cast
from wsgiref.types import WSGIApplication

from shopsafe.serving.front import Front
from shopsafe.wsgi import application as pages

# Some stubs of Django's handler leave out that its response is an iterable.
application = Front(cast(WSGIApplication, pages))
