"""Item analysis: plain numpy on answers, no database. Each formula is beside its source."""
