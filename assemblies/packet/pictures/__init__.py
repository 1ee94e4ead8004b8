"""Pictures of the whole thing: exploded line drawing, rendered view."""
