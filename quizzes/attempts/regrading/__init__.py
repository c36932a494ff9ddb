"""A wrong key: whom it concerns, correcting it by a new edition, and grading again without taking a pass away."""
