"""Flat pieces of any outline in bending, by finite elements: brackets, discs, lids with holes, walls with cut-outs."""
