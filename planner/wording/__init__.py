"""Sentences that keep their figures as figures, and doubts made of them."""
