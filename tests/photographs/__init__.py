"""Photographs of everything that the window shows, and what is wrong with them."""
