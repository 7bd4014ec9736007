"""Readings from tables of any encoding, separator and scale, and the log written back as one."""
