"""Pages of incidents: the list, the form, the report, its photos, follow-ups and files, and what the school sets."""
