"""Class lists: the bytes of a file to a preview, row by row. Rules alone; nothing here touches a database."""

from shopsafe.school.rosters.rules.columns import ROLES
from shopsafe.school.rosters.rules.facts import (
    ExistingPerson,
    NotARoster,
    ParsedStudent,
    PreviewRow,
    RosterPreview,
    RosterRow,
    RosterTable,
    RowCorrection,
    RowList,
)
from shopsafe.school.rosters.rules.names import against_name, clean
from shopsafe.school.rosters.rules.preview import NO_NUMBER, one_student, preview
from shopsafe.school.rosters.rules.reading import read_file, read_pasted

__all__ = [
    "NO_NUMBER",
    "ROLES",
    "ExistingPerson",
    "NotARoster",
    "ParsedStudent",
    "PreviewRow",
    "RosterPreview",
    "RosterRow",
    "RosterTable",
    "RowCorrection",
    "RowList",
]
__all__ += ["against_name", "clean", "one_student", "preview", "read_file", "read_pasted"]
