"""The ground: commands, lock, wheel, import floors."""
