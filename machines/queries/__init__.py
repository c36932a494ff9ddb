"""What is asked of machines and their records, set-wise: facts for the rule of clearance, and rows for the pages.

The number of queries depends on neither students nor machines: everything about a set of students is loaded at
once, then judged in Python by the same rule that judges one cell.
"""

from machines.queries.asking import Plan, in_service_life, plan_at
from machines.queries.asks import Asks, asked_by_machine, asks_at
from machines.queries.bench import Bench, BenchRow, bench_of, steps_at
from machines.queries.evidence import evidence_of
from machines.queries.records import (
    holds_for,
    holds_in_force,
    machine_for,
    machine_of_section,
    machines_for,
    running_sections,
    section_with,
    sign_offs_at,
    sign_offs_for,
    standing_sign_off,
    student_of_section,
    tag_outs_for,
    tagged_out,
    terms_in_shop,
    undoable,
)
from machines.queries.standings import (
    Matrix,
    answer_for,
    briefs_for_section,
    enrolled,
    judged,
    machines_of,
    matrix,
    standings_for_section,
    students_of,
)

__all__ = [
    "Asks",
    "Bench",
    "BenchRow",
    "Matrix",
    "Plan",
    "answer_for",
    "asked_by_machine",
    "asks_at",
    "bench_of",
    "briefs_for_section",
    "enrolled",
    "evidence_of",
    "holds_for",
    "holds_in_force",
    "in_service_life",
    "judged",
    "machine_for",
    "machine_of_section",
    "machines_for",
    "machines_of",
    "matrix",
    "plan_at",
    "running_sections",
    "section_with",
    "sign_offs_at",
    "sign_offs_for",
    "standing_sign_off",
    "standings_for_section",
    "steps_at",
    "student_of_section",
    "students_of",
    "tag_outs_for",
    "tagged_out",
    "terms_in_shop",
    "undoable",
]
