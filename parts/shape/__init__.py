"""One piece as flat truth: outline, holes, rules for holes; its solid and its mesh."""
