"""What was read of a made rig, as the order has it: values by name, and the table `[record]`."""
