"""What a move does to the liquid: its waves through the move and after it, the shortest move that spares them, stops."""
