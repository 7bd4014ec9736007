"""The window: Qt and matplotlib."""
