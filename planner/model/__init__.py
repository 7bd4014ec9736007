"""The science: plain functions on SI floats and arrays; no screen, no files, no display units."""
