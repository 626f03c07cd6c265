"""What people do on the floor: clocks, finished stages, mixes, attendance, day sheets, trouble, spray records."""
