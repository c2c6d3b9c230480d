"""Press and shrink fits: the pressure between two rings, what it stresses, holds and takes to assemble."""
