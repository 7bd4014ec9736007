"""The adjustment pane: the finished mead before and after."""
