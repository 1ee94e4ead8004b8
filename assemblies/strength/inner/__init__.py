"""What is bonded to the walls of a tank beside its box: a trough before a notch, walls inside."""
