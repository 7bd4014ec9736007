"""The recipe pane: what goes into the fermenter, and what it gives."""
