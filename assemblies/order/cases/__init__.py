"""The ways a thing is loaded or moved, and the motors that move it, as a file may write them."""
