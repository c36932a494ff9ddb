"""The rules of clearance, without Django: the evaluation, its words, what lifts a hold, the next step."""
