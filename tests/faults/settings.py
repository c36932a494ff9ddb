"""The settings a school runs with, but for the worker that prints: a test starts its own, so that it can kill it."""

from shopsafe.settings import *  # noqa: F403  a settings file is all names

WORKERS = False
