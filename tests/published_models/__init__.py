"""Two published models as printed, against which the planning model is set: no part of the program."""
