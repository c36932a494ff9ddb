"""Reviews of an edition by somebody outside of the class: the print to sign, and who signed it."""
