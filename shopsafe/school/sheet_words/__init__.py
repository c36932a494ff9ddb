"""What a shop says in its own words on the safety agreement and the substitute sheet."""
