"""The demo school: invented people with a term behind them, told through the same acts as a real one."""
