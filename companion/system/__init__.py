"""The machine: clock, folders, resources, atomic writing, logs."""
