"""The import dialog: what a file or the clipboard would bring."""
