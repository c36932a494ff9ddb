"""Corrections of starter banks: offered to a school that has the bank, looked at by rule, taken or declined."""
