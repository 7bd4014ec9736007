"""Windows of tasting: sheets over time, and blind tests."""
