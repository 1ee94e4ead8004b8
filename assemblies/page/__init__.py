"""Try it: a page on your own machine that answers while sizes are changed. `serve` starts it, `app` answers it."""
