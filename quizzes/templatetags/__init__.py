"""What templates of questions and rules may use."""
