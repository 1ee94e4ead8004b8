"""Quick-release plates: whether what slides into a shoe stays there, and what the packet says of it."""
