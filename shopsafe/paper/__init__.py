"""How we print: HTML to PDF, legible type sizes, codes. Knows no model of any app."""
