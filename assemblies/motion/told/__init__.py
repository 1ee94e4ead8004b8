"""What is said and shown of planned moves: figures, findings, texts, plots."""
