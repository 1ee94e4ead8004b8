"""What goes with the thing: cost, what to buy, the operator's card."""
