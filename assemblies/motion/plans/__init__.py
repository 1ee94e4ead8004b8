"""The planned moves of an order: slides and turns, each with what it does to its liquid, its loads and its drive."""
