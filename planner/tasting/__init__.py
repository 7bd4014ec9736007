"""Tasting: the lines of a sheet, and small blind tests with what their counts bear out."""
