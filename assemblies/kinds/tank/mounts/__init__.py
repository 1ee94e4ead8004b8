"""What is bonded on to bolt a tank by: plates, their bolts, shoes that they slide into."""
