"""Batches against one another, and each against what was expected of it. Knows nothing of the screen."""
