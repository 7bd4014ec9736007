"""What yeast needs to eat: the need, what to feed and when, and the limits of law and use."""
