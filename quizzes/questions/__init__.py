"""A question from bank to answer, without Django: assembly of a form, showing, answering, grading."""
