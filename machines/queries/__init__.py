"""What is asked of machines and their records, set-wise: facts for the rule of clearance, and rows for the pages.

The number of queries depends on neither students nor machines: everything about a set of students is loaded at
once, then judged in Python by the same rule that judges one cell.
"""

from machines.queries.asking import Plan, asked_by_machine, in_service_life, plan_at
from machines.queries.evidence import evidence_of
from machines.queries.records import standing_sign_off, terms_in_shop
from machines.queries.standings import (
    Matrix,
    answer_for,
    judged,
    machines_of,
    matrix,
    standings_for_section,
    students_of,
)

__all__ = [
    "Matrix",
    "Plan",
    "answer_for",
    "asked_by_machine",
    "evidence_of",
    "in_service_life",
    "judged",
    "machines_of",
    "matrix",
    "plan_at",
    "standing_sign_off",
    "standings_for_section",
    "students_of",
    "terms_in_shop",
]
