"""From the recipe to the must: what is pressed, weighed and poured together, and the rules of the house."""
