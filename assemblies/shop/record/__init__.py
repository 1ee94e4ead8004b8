"""What was read at the bench: the check-in form, and what the order's `[record]` says of it."""
