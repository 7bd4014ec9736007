"""The window of the cellar: a folder of batches, worked out in the background, kept in step with the folder."""
