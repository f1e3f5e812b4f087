"""What a person asks for, done: each module does one job and returns data; `report` renders it."""
