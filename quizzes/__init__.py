"""What students must know: banks, editions, blueprints, forms, attempts, relearning."""
