"""Before there is a must: solving a recipe for what is open, ways compared, cost, dates and scaling."""
