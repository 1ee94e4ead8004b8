"""Models for other programs: STEP, STL, GLB."""
