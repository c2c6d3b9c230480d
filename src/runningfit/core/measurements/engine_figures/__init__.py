"""Engine arithmetic with its uncertainty: volumes, compression ratio, piston speed, valve lift and timing."""
