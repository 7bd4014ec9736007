"""The cellar: a folder of batches at a glance, what each is and what is due next. Knows nothing of the screen."""
