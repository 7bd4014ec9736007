"""Papers in the window: in the reader's units, seen before they are printed, printed and saved."""
