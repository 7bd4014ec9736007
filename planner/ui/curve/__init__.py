"""The curve pane: the expected course, and the log drawn beside it."""
