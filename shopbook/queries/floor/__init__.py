"""What is asked about the floor: running clocks, work that can be done, day sheets, hours, mixes, spray records."""
