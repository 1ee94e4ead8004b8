"""What liquid does while its rig starts or stops: waves, and the blow before it has moved. Upright boxes and cylinders, level."""
