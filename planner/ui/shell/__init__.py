"""The window around the panes: menus, files, settings, safety copies, faults."""
