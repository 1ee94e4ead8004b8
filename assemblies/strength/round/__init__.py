"""Round tanks: the wall as a shell, its seam with the disc, the disc as a plate; and the proof of them."""
