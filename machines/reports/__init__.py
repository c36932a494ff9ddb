"""What was found unsafe and what follows: hazard reports, inspections, return to service, incidents and rates."""
