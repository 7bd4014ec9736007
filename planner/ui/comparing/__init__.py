"""Windows that set batches against one another, and one against what was expected of it."""
