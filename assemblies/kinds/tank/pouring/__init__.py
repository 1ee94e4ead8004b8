"""What a tank is poured from and parted by: low places of its rim, troughs, walls inside, engraved lines."""
