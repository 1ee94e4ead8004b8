"""One cutting plan for one or several orders."""
