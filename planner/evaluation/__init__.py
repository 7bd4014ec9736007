"""From a batch to all that is shown of it: the outcome, its findings, its headline, and where figures come from."""
