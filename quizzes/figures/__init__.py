"""What the answers teach the teacher: how good the questions are, and which rules to reteach."""
