"""What the command prints: the packet's sections and findings at 80 columns."""
