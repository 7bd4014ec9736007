"""The finished mead: what is stirred in, found in the glass, and whether it stays still."""
