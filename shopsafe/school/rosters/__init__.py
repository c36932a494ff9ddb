"""Class lists: the bytes of a file to a preview, row by row. Rules alone; nothing here touches a database."""

from shopsafe.school.rosters.columns import ROLES
from shopsafe.school.rosters.facts import Entry, Known, Mend, NotARoster, Preview, Read, Row, Sheet
from shopsafe.school.rosters.names import against_name, clean
from shopsafe.school.rosters.preview import NO_NUMBER, one_student, preview
from shopsafe.school.rosters.reading import read_file, read_pasted

__all__ = ["NO_NUMBER", "ROLES", "Entry", "Known", "Mend", "NotARoster", "Preview", "Read", "Row", "Sheet"]
__all__ += ["against_name", "clean", "one_student", "preview", "read_file", "read_pasted"]
