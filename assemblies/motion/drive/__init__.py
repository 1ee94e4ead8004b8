"""What a drive must give, and the motor that an order names held against it."""
