"""Item analysis: plain numpy on answers, no database. Each formula stands beside its source."""
