"""Sheet warmed and bent: how long it heats, in which order its bends are made, what is done before and after."""
