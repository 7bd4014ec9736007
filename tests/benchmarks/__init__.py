"""Measurements of how well the program does, run by hand: each prints a table and one last line for machines."""
