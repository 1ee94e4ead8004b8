"""Outlines on sheets for router and laser, with their paths and rests."""
