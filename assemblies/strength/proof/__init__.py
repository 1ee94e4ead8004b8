"""What a proof is asked and answers, for any design."""
