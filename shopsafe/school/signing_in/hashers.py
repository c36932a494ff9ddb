"""How sign-in codes and passwords are hashed: Argon2id, 19 MiB, two passes (OWASP's password storage guidance)."""

from django.contrib.auth.hashers import Argon2PasswordHasher


class SchoolArgon2Hasher(Argon2PasswordHasher):
    """A class of thirty signing in at once must not starve the shop's one small server of memory."""

    memory_cost = 19 * 1024
    time_cost = 2
    parallelism = 1
