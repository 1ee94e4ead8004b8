"""What holds plates on: allowed stresses, bonds, bolts, threads."""
