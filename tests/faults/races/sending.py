"""What a teacher or the student of a scene sends, to a route by its name."""

from django.urls import reverse

from tests.faults.races.scene import Scene
from tests.faults.races.servers import Fields, Request


def teacher(scene: Scene, actor: int, name: str, key: object, fields: Fields) -> Request:
    return Request(scene.place.teachers[actor], reverse(name, args=key if isinstance(key, list) else [key]), fields)


def student(scene: Scene, name: str, key: object, fields: Fields) -> Request:
    return Request(scene.student, reverse(name, args=key if isinstance(key, list) else [key]), fields)


def class_route(scene: Scene, actor: int, name: str, fields: Fields) -> Request:
    return teacher(scene, actor, name, [scene.place.section.pk, scene.student.pk], fields)
