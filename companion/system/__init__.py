"""The machine: its clock, its folders, whole files, private notes of faults."""
