"""The log: readings in a table and typed in a line."""
