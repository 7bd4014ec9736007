"""The report: an outcome as plain data and as text, with a part for each part of the outcome."""
