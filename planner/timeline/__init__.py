"""The ferment: its expected course, the log understood, and what both together say."""
