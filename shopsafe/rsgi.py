"""The application that the server loads: Django's WSGI application behind a front that takes bodies whole."""

from typing import cast
from wsgiref.types import WSGIApplication

from shopsafe.serving.front import Front
from shopsafe.serving.trouble import wait_in_the_front
from shopsafe.wsgi import application as pages

wait_in_the_front()
# Some stubs of Django's handler leave out that its response is an iterable.
application = Front(cast(WSGIApplication, pages))
