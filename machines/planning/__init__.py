"""Planning a shop period: which demonstrations the teacher holds, and which student works at which machine when."""
