"""What must hold for any job: units, files, repetition, useless parts, wider windows."""
