"""What liquid does while its rig starts or stops: waves, and the blow before it has moved; in upright boxes and cylinders."""
