"""What is said: the report as plain rows, sections and their blocks, figures in words, the terminal."""
