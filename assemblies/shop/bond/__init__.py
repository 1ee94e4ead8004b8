"""The bonding plan: steps, solvent, times."""
