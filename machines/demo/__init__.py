"""The demo school: invented people with a term behind them, made by the same acts as a real one."""
