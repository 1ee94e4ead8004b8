"""The saw plan of a laid-out sheet: cuts, their order, settings, words."""
