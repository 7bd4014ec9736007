"""Parts of the report, one for each part of the outcome."""
