"""Everything on paper about machines: cards, charts, handouts, print batches, and what is posted."""
