"""How it comes apart, and so how it goes together."""
