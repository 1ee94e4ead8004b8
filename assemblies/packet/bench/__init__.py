"""What lies on the bench: sheets to cut, nests, drilling templates, labels."""
