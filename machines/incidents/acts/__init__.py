"""Acts of incidents: a report is begun and gone on with, photos, follow-ups, hand-overs, and what the school sets."""
