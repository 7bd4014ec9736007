"""The user's own ingredients: kept beside the settings, edited in a dialog."""
