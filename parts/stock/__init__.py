"""What is bought: materials, sheets, threads, drills, hole patterns, and the tables that say so."""
