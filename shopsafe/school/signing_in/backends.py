"""Who a session belongs to."""

from django.contrib.auth.backends import ModelBackend

from shopsafe.school.models import Person


class PersonBackend(ModelBackend):
    """Loads the person with their school: every page asks for both."""

    def get_user(self, user_id: int) -> Person | None:
        return Person.objects.select_related("school").filter(pk=user_id, is_active=True).first()
