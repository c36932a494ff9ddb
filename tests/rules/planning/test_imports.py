"""Rules are imported by every page: the solver and the statistics come in only when they are used."""

import sys
from subprocess import run


def test_rules_import_no_solver_until_a_plan_or_rate_is_made():
    rules = "machines.planning.rules.plans, machines.planning.rules.rotas, machines.reports.rules.rates"
    code = f"import sys, {rules}; print([name for name in sys.modules if name.split('.')[0] in ('scipy', 'numpy')])"
    output = run([sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60).stdout
    assert output.strip() == "[]"
