"""Checks against what others have published: one module per property, each row with its source."""
