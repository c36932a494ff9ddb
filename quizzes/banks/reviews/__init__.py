"""Reviews of an edition by someone outside of the class: the print to sign, and who signed it."""
