"""The rules of the plan and the rota: `plans.make_plan`, `rotas.make_rota`, and `checks` for what a teacher moves."""
