"""What a maker's earlier batches teach of the next one, pooled with what the shelf says. Knows nothing of the screen."""
