"""What can hold liquid: cavities of flat faces, round ones, their openings."""
