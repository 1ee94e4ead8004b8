"""A round container that turns about its own axis: its surface, what the wall bears, how well it must be balanced."""
