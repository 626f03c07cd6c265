"""What is done on the floor: clocks, finished stages, mixes, attendance, day sheets, troubles, spray records."""
