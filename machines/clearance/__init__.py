"""Clearance: may this student use this machine at this moment, why, and who acts next."""
