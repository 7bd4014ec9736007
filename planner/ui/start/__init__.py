"""The first minute: what was picked, a sample, or a file."""
