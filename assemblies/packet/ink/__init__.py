"""What drawings are made of, and how they get on paper or into a picture file."""
