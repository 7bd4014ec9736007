"""The shelf: tables of ingredients as frozen rows, each with its source."""
