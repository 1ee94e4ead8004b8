"""What stands between a prop and what moves it: beams, gussets, standoffs, and the whole mount."""
